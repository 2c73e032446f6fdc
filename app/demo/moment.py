"""What is to become a tag, before there is a session to put it in."""

from __future__ import annotations

from dataclasses import dataclass

from annotate.ids import RowId, SessionId, new_id
from annotate.tags import Leaning, Tag, TagKind


@dataclass(frozen=True, slots=True)
class Moment:
    """A tag without a session; case time, microseconds."""

    kind: TagKind
    code: str
    start_us: int
    end_us: int | None = None
    leaning: Leaning | None = None
    weight: int | None = None
    note: str = ""

    def tag(self, session_id: SessionId) -> Tag:
        """The tag in a session."""
        return Tag(
            id=RowId(new_id()),
            session_id=session_id,
            kind=self.kind,
            code=self.code,
            start_us=self.start_us,
            end_us=self.end_us,
            leaning=self.leaning,
            weight=self.weight,
            comment=self.note,
        )
