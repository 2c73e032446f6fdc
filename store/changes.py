"""What goes into an edit and what comes out: values, never rows of the database."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from annotate.case import Case, SessionStatus
from annotate.ids import ClipId, RowId, SessionId
from annotate.markup import Row


@dataclass(frozen=True, slots=True)
class Put:
    """Insert `row`, or put it in the place of the row with its id."""

    row: Row


@dataclass(frozen=True, slots=True)
class Drop:
    """Take away the row of that type with that id."""

    row_type: type[Row]
    id: RowId


@dataclass(frozen=True, slots=True)
class Changes:
    """What one edit, undo or redo changed; screens refresh from this alone.

    Attributes
    ----------
    edit_id : str
        Empty where everything put was there already: then nothing changed and no step was made.
    kind : str
        Of the edit; of an undo or redo, the kind of what it takes back or brings back.
    tables : frozenset of str
        ``tags``, ``comments``, ``marks``, ``calibrations``, ``measurements``, ``scores``,
        ``settings``.
    put, dropped : tuple of RowId
        Ids of rows that are there with new content, and of rows that are gone.
    rows : tuple of Row
        The rows put, as they are now, in the order of `put`.
    """

    edit_id: str
    session_id: SessionId
    kind: str
    tables: frozenset[str] = field(default_factory=frozenset)
    put: tuple[RowId, ...] = ()
    dropped: tuple[RowId, ...] = ()
    rows: tuple[Row, ...] = ()


@dataclass(frozen=True, slots=True)
class EditRecord:
    """One line of a session's history.

    Attributes
    ----------
    by : str
        Code of who did it.
    is_undone : bool
        Whether it was taken back and not brought back.
    undoes : str or None
        Id of the edit that this one takes back; where that one was an undo, this is a redo.
    can_undo, can_redo : bool
        Whether it is in the undo list still, or in the redo list.
    """

    id: str
    session_id: SessionId
    kind: str
    by: str
    at: datetime
    is_undone: bool = False
    undoes: str | None = None
    can_undo: bool = False
    can_redo: bool = False


@dataclass(frozen=True, slots=True)
class SessionLine:
    """One session of a case, in the caseload."""

    id: SessionId
    reviewer: str
    status: SessionStatus
    n_tags: int
    n_comments: int
    edited_at: datetime
    edition: int = 1

    @property
    def is_begun(self) -> bool:
        """Whether it holds anything, or is signed; a case that was merely opened has not begun."""
        return bool(self.n_tags or self.n_comments or self.status is SessionStatus.SIGNED)


@dataclass(frozen=True, slots=True)
class CaseRow:
    """One line of the caseload.

    Attributes
    ----------
    status : str
        ``new`` without a session, ``signed`` when every session is, else ``draft``.
    edited_at : datetime
        Of the newest edit in any session; of the intake where there is none.
    sessions : tuple of SessionLine
        The most recently edited first.
    """

    case: Case
    status: str
    n_sessions: int
    n_tags: int
    n_comments: int
    edited_at: datetime
    sessions: tuple[SessionLine, ...] = ()


@dataclass(frozen=True, slots=True)
class PartPlace:
    """A part of a case in an order of parts; `lead_us` as in `annotate.case.ClipRecord`."""

    clip_id: ClipId
    lead_us: int


@dataclass(frozen=True, slots=True)
class CaseEdit:
    """One change to the parts of a case: who arranged them anew, when, and how they lay."""

    id: str
    kind: str
    by: str
    at: datetime
    before: tuple[PartPlace, ...]
    after: tuple[PartPlace, ...]
