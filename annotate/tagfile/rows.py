"""One row of a tag file, and the way from a session's content to rows and back."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from annotate.clock import to_ms
from annotate.ids import RowId, SessionId, new_id
from annotate.markup import Markup
from annotate.tags import Comment, Leaning, Tag, TagKind

HEADER = ("kind", "code", "start", "end", "leaning", "weight", "comment")
ATTENDING = "attending"
"""Who operates in a hand-over whose operator is not named."""

_NO_TEXT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


class RowKind(StrEnum):
    """What a row tells of."""

    PHASE = "phase"
    EVENT = "event"
    IDLE = "idle"
    COMMENT = "comment"
    HAND_OVER = "hand-over"


@dataclass(frozen=True, slots=True)
class TagRow:
    """A row of a tag file.

    Attributes
    ----------
    code : str
        Of the phase, event or idle reason; for a comment the phase that it is about, or empty;
        for a hand-over who operates then.
    start_us, end_us : int
        Case time, microseconds; `end_us` is None at an instant.
    comment : str
        Words on the tag, or the comment itself.
    """

    kind: RowKind
    code: str
    start_us: int
    end_us: int | None = None
    leaning: Leaning | None = None
    weight: int | None = None
    comment: str = ""


def rows_of(markup: Markup) -> tuple[TagRow, ...]:
    """Rows of a session's tags and comments, in order of start.

    A mark that belongs to a comment has no place in a tag file and is left out.
    """
    rows = [_row_of_tag(tag) for tag in markup.tags]
    rows += [_row_of_comment(comment) for comment in markup.comments]
    return in_order(rows)


def markup_of(rows: Iterable[TagRow], session_id: SessionId) -> tuple[Tag | Comment, ...]:
    """Tags and comments of a session, with new ids, in the order of the rows."""
    return tuple(_comment(r, session_id) or _tag(r, session_id) for r in rows)


def in_order(rows: Iterable[TagRow]) -> tuple[TagRow, ...]:
    """Sort by start, then by end, kind and code, so that a file does not depend on ids."""
    kinds = list(RowKind)

    def place(row: TagRow) -> tuple[int, int, int, str, str]:
        end_us = row.start_us if row.end_us is None else row.end_us
        return row.start_us, end_us, kinds.index(row.kind), row.code, row.comment

    return tuple(sorted(rows, key=place))


def as_written(rows: Iterable[TagRow]) -> tuple[TagRow, ...]:
    """Put rows in order, with their comments cleaned, as every kind of file holds them."""
    return in_order(replace(row, comment=clean_text(row.comment)) for row in rows)


def span_ms(row: TagRow) -> tuple[int, int | None]:
    """Start and end in milliseconds as every tag file writes them, each off by less than 1 ms.

    Rounded half to even; a span so short that both ends would round to one millisecond is widened
    outwards, so that it remains a span.
    """
    start_ms = to_ms(row.start_us)
    if row.end_us is None:
        return start_ms, None
    end_ms = to_ms(row.end_us)
    if end_ms > start_ms:
        return start_ms, end_ms
    return row.start_us // 1000, -(-row.end_us // 1000)


def clean_text(text: str) -> str:
    """Text as a tag file holds it: line ends become LF, and what is no text becomes U+FFFD.

    No text are control characters but tab and line end, and halves of surrogate pairs.
    """
    return _NO_TEXT.sub("\ufffd", text.replace("\r\n", "\n").replace("\r", "\n"))


def _row_of_tag(tag: Tag) -> TagRow:
    return TagRow(
        kind=RowKind(tag.kind.value),
        code=tag.code,
        start_us=tag.start_us,
        end_us=tag.end_us,
        leaning=tag.leaning,
        weight=tag.weight,
        comment=clean_text(tag.comment),
    )


def _row_of_comment(comment: Comment) -> TagRow:
    return TagRow(
        kind=RowKind.COMMENT,
        code=comment.phase,
        start_us=comment.start_us,
        end_us=comment.end_us,
        leaning=comment.leaning,
        weight=comment.weight,
        comment=clean_text(comment.text),
    )


def _comment(row: TagRow, session_id: SessionId) -> Comment | None:
    if row.kind is not RowKind.COMMENT:
        return None
    return Comment(
        id=RowId(new_id()),
        session_id=session_id,
        text=row.comment,
        start_us=row.start_us,
        end_us=row.end_us,
        leaning=row.leaning,
        weight=row.weight,
        phase=row.code,
    )


def _tag(row: TagRow, session_id: SessionId) -> Tag:
    return Tag(
        id=RowId(new_id()),
        session_id=session_id,
        kind=TagKind(row.kind.value),
        code=row.code,
        start_us=row.start_us,
        end_us=row.end_us,
        leaning=row.leaning,
        weight=row.weight,
        comment=row.comment,
    )
