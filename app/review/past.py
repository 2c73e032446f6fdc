"""What was done in a review, line by line, and going back to a line of it. No Qt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum

from app.commands.table import action
from app.review.kept_session import KeptSession
from store import EditRecord

_SIGN, _SIGNED = "sign", "Signed; the review takes no more edits"
START = "The review as it was begun"


class Standing(Enum):
    """Where a line of the past stands; the value says so in words where it needs saying."""

    HERE = "the review is here now"
    STANDS = ""
    UNDONE = "taken back; can be done again"
    REPLACED = "taken back, and other things done since"
    FINAL = "final"


@dataclass(frozen=True, slots=True)
class PastLine:
    """One thing that was done; `id` is None for the beginning of what can be taken back.

    Attributes
    ----------
    at : datetime or None
        When, in the time of this machine.
    """

    id: str | None
    words: str
    by: str
    at: datetime | None
    standing: Standing

    @property
    def day(self) -> date | None:
        """On which day it was done."""
        return self.at.date() if self.at else None


def past_lines(records: Sequence[EditRecord]) -> tuple[PastLine, ...]:
    """Lines of the past, the newest first.

    Undos and redos have no line of their own: what they took back says so. A review that can be
    taken back to its beginning has a line for that at its end.
    """
    done = [record for record in records if record.undoes is None]
    here = next((record.id for record in reversed(done) if record.can_undo), None)
    lines = [_line(record, here) for record in done]
    can_all = any(record.can_undo or record.can_redo for record in done)
    first = next((n for n, r in enumerate(done) if r.can_undo or r.can_redo), 0)
    if can_all:
        standing = Standing.STANDS if here is not None else Standing.HERE
        words = START if first == 0 else "Before all that can still be taken back"
        lines.insert(first, PastLine(None, words, "", None, standing))
    return tuple(reversed(lines))


def _line(record: EditRecord, here: str | None) -> PastLine:
    if record.id == here:
        standing = Standing.HERE
    elif record.can_undo:
        standing = Standing.STANDS
    elif record.can_redo:
        standing = Standing.UNDONE
    else:
        standing = Standing.REPLACED if record.is_undone else Standing.FINAL
    kind = _SIGNED if record.kind == _SIGN else record.kind
    words = kind[:1].upper() + kind[1:]
    return PastLine(record.id, words, record.by, record.at.astimezone(), standing)


class Past:
    """Reads a session's history and goes to a line of it, one step of undo or redo at a time."""

    def __init__(self, session: KeptSession, records: Sequence[EditRecord] = ()) -> None:
        self._session = session
        self.lines: tuple[PastLine, ...] = past_lines(records)

    def read(self) -> None:
        """Read it anew from the store."""
        self.lines = past_lines(self._session.history())

    def go_to(self, line: PastLine) -> str:
        """Make the review what it was just after a line was done; says what came of it."""
        if self._session.is_refused():
            return self._session.why_not
        self.read()
        now = next((known for known in self.lines if known.id == line.id), None)
        if now is None or now.standing in (Standing.REPLACED, Standing.FINAL):
            return f"'{line.words}' can no longer be gone back to."
        if now.standing is Standing.HERE:
            return "The review is there already."
        is_back = now.standing is Standing.STANDS
        n_wished = self._steps_to(now, is_back=is_back)
        step = self._session.undo if is_back else self._session.redo
        n_done = 0
        while n_done < n_wished and step():
            n_done += 1
        self.read()
        return _came_of(n_done, n_wished, now, is_back=is_back)

    def would(self, line: PastLine) -> str:
        """What going to a line would do, how much it is, and how it is undone."""
        if line.standing is Standing.HERE:
            return "The review is here now."
        if line.standing is Standing.REPLACED:
            return "Taken back, and other things done since: it can no longer be gone back to."
        if line.standing is Standing.FINAL:
            return "Final: it can no longer be taken back."
        is_back = line.standing is Standing.STANDS
        n = self._steps_to(line, is_back=is_back)
        edits = "the edit" if n == 1 else f"the {n} edits"
        each = "it" if n == 1 else "them"
        press = "" if n == 1 else ", one a press"
        undo, redo = action("undo").key, action("redo").key
        if is_back:
            return f"Return takes back {edits} done since; {redo} brings {each} again{press}."
        return f"Return brings again {edits} up to here; {undo} takes {each} back{press}."

    def _steps_to(self, line: PastLine, *, is_back: bool) -> int:
        """How many undos or redos lie between where the review is and a line."""
        place = self.lines.index(line)
        if is_back:
            after = (known for known in self.lines[:place] if known.id is not None)
            return sum(known.standing in (Standing.STANDS, Standing.HERE) for known in after)
        return sum(known.standing is Standing.UNDONE for known in self.lines[place:])


def _came_of(n_done: int, n_wished: int, line: PastLine, *, is_back: bool) -> str:
    what = "taken back" if is_back else "done again"
    things = "1 edit" if n_done == 1 else f"{n_done} edits"
    if n_done < n_wished:
        return f"{things} {what}; {n_wished - n_done} more could not be, so the rest stays."
    back = "Ctrl+Shift+Z does them again." if is_back else "Ctrl+Z takes them back."
    words = line.words[:1].lower() + line.words[1:] if line.id is None else f"'{line.words}'"
    return f"{things} {what}, to {words}. {back}"
