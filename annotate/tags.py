"""Tags and comments: what a reviewer says of spans and instants of a case."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from annotate.ids import RowId, SessionId


class TagKind(StrEnum):
    """What a tag tells of its span."""

    PHASE = "phase"
    EVENT = "event"
    IDLE = "idle"
    HAND_OVER = "hand-over"


class Leaning(StrEnum):
    """What an event or a comment asks for: more of it, less of it, or neither."""

    COMMEND = "commend"
    CORRECT = "correct"
    NEUTRAL = "neutral"


WEIGHTS = (1, 2, 3)
LONGEST_TEXT = 20_000
"""Characters of one comment; more is a file pasted by mistake."""


@dataclass(frozen=True, slots=True)
class Tag:
    """A code over a span, or at an instant where `end_us` is None.

    Attributes
    ----------
    code : str
        From the vocabulary; for a hand-over, who operates then (``attending`` if unnamed).
    start_us, end_us : int
        Case time, microseconds; an open phase that still runs is not stored, see the review desk.
    leaning, weight
        For events; None where they say nothing.
    comment : str
        A few words on the tag itself.
    """

    id: RowId
    session_id: SessionId
    kind: TagKind
    code: str
    start_us: int
    end_us: int | None = None
    leaning: Leaning | None = None
    weight: int | None = None
    comment: str = ""

    def __post_init__(self) -> None:
        check_span(self.start_us, self.end_us)
        if self.end_us is None and self.kind is not TagKind.EVENT:
            raise ValueError(f"a {self.kind} needs an end")
        if self.weight is not None and self.weight not in WEIGHTS:
            raise ValueError("weight is 1, 2 or 3")


@dataclass(frozen=True, slots=True)
class Comment:
    """What the reviewer says to the operator about a moment or a span.

    Attributes
    ----------
    phase : str
        Code of the phase it is about; empty where it is about none.
    mark_id : RowId or None
        A mark on the picture that belongs to it.
    """

    id: RowId
    session_id: SessionId
    text: str
    start_us: int
    end_us: int | None = None
    leaning: Leaning | None = None
    weight: int | None = None
    phase: str = ""
    mark_id: RowId | None = None

    def __post_init__(self) -> None:
        check_span(self.start_us, self.end_us)
        if len(self.text) > LONGEST_TEXT:
            raise ValueError(f"a comment has at most {LONGEST_TEXT} characters")
        if self.weight is not None and self.weight not in WEIGHTS:
            raise ValueError("weight is 1, 2 or 3")


def check_span(start_us: int, end_us: int | None) -> None:
    """Refuse a span that begins before the case or does not end after it begins.

    Raises
    ------
    ValueError
        In either event.
    """
    if start_us < 0:
        raise ValueError("a span starts at 0 or later")
    if end_us is not None and end_us <= start_us:
        raise ValueError("a span ends after it starts")
