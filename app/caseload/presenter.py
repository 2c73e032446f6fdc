"""What the caseload shows: rows of cases, with their newest session's markup for the strip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from annotate.case import SessionStatus
from annotate.clock import short_time
from annotate.errors import UserFacingError
from annotate.markup import Markup
from annotate.vocabulary import Vocabulary
from app.strip.layout import StripContent, strip_content
from app.vocabulary.words import words_of
from store import CaseRow, SessionLine, Store

_NOT_YET = "not yet reviewed"
_MOST_NAMED = 2
"""Sessions of others that are named in the list."""
_EMPTY = Vocabulary("", "", "", (), (), ())


@dataclass(frozen=True, slots=True)
class Line:
    """One case as the list shows it.

    Attributes
    ----------
    session : SessionLine or None
        The one whose strip is shown: one's own, else the newest; None where none has begun.
    """

    row: CaseRow
    session: SessionLine | None
    status: str
    length: str
    searched: str


class CaseloadPresenter:
    """Reads the caseload; a strip's content is read when its row is first seen."""

    def __init__(self, store: Store, me: str = "") -> None:
        self._store = store
        self.me = me
        self.lines: tuple[Line, ...] = ()
        self._strips: dict[str, StripContent] = {}

    def look_again(self) -> None:
        """Read the list from the store."""
        self.lines = tuple(_line(row, self.me) for row in self._store.cases(self.me))
        self._strips.clear()

    def strip(self, line: Line) -> StripContent:
        """What the strip of a case shows."""
        case = line.row.case
        kept = self._strips.get(case.id)
        if kept is None:
            markup = self._store.markup(line.session.id) if line.session else Markup()
            words = self._words(line, markup)
            kept = strip_content(markup, words, case.length_us, case.clock.gaps)
            self._strips[case.id] = kept
        return kept

    def operation(self, line: Line) -> str:
        """What was performed: the title of the case's words, else the name they are kept under."""
        return self._words(line, Markup()).title or line.row.case.vocabulary

    def _words(self, line: Line, markup: Markup) -> Vocabulary:
        case = line.row.case
        session = self._store.session(line.session.id) if line.session else None
        try:
            return words_of(self._store, case, session, markup)
        except UserFacingError:
            return _EMPTY  # a case keeps its strip when its vocabulary is elsewhere

    @property
    def codes(self) -> frozenset[str]:
        """Codes of all cases."""
        return frozenset(line.row.case.code for line in self.lines)

    @property
    def fresh_case(self) -> str:
        """Code of a case with clips that nobody has reviewed; empty where there is none."""
        fresh = (line.row.case for line in self.lines if line.session is None)
        return next((case.code for case in fresh if case.clips), "")

    def next_case_number(self, operator: str) -> int:
        """The number after the highest of an operator's cases."""
        numbers = [
            line.row.case.case_number
            for line in self.lines
            if line.row.case.operator.code == operator
        ]
        return max(numbers, default=0) + 1


def matches(line: Line, wanted: str) -> bool:
    """Whether a case has every word that was typed."""
    return all(word in line.searched for word in wanted.casefold().split())


def status_words(sessions: Sequence[SessionLine], me: str) -> str:
    """How far a case's reviews are, one's own first; of several editions the last."""
    last: dict[str, int] = {}
    for line in sessions:
        last[line.reviewer] = max(line.edition, last.get(line.reviewer, 0))
    begun = [s for s in sessions if s.is_begun and s.edition == last[s.reviewer]]
    mine = [line for line in begun if line.reviewer == me]
    others = [line for line in begun if line.reviewer != me]
    said = []
    if mine:
        is_signed = any(line.status is SessionStatus.SIGNED for line in mine)
        edition = f", edition {mine[0].edition}" if mine[0].edition > 1 else ""
        said.append(f"signed by you{edition}" if is_signed else f"your draft{edition}")
    for line in others[:_MOST_NAMED]:
        is_signed = line.status is SessionStatus.SIGNED
        said.append(f"{line.reviewer} {'signed' if is_signed else 'in draft'}")
    if others[_MOST_NAMED:]:
        said.append(f"{len(others) - _MOST_NAMED} more")
    return "; ".join(said) or _NOT_YET


def _line(row: CaseRow, me: str) -> Line:
    case = row.case
    begun = [line for line in row.sessions if line.is_begun]
    mine = [line for line in begun if line.reviewer == me]
    status = status_words(row.sessions, me)
    words = [
        case.code,
        case.operator.code,
        case.operator.level,
        str(case.case_number),
        case.vocabulary,
        case.eye.value if case.eye else "",
        status,
        *(line.reviewer for line in begun),
        "model case" if case.is_model else "",
        *(f"{key} {value}" for key, value in case.attributes.items()),
    ]
    return Line(
        row=row,
        session=next(iter([*mine, *begun]), None),
        status=status,
        length=short_time(case.length_us),
        searched=" ".join(words).casefold(),
    )
