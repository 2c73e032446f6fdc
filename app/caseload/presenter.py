"""What the caseload shows: rows of cases, with their newest session's markup for the strip."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from annotate.clock import short_time
from annotate.errors import UserFacingError
from annotate.markup import Markup
from annotate.vocabulary import Vocabulary
from annotate.vocabulary_file import vocabulary_named
from app.strip.layout import StripContent, strip_content
from store import CaseRow, Store

_STATUS_WORDS = {"new": "not yet reviewed", "draft": "in review", "signed": "signed"}
_EMPTY = Vocabulary("", "", "", (), (), ())


@dataclass(frozen=True, slots=True)
class Line:
    """One case as the list shows it."""

    row: CaseRow
    status: str
    length: str
    searched: str


class CaseloadPresenter:
    """Reads the caseload; a strip's content is read when its row is first seen."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self.lines: tuple[Line, ...] = ()
        self._strips: dict[str, StripContent] = {}

    def look_again(self) -> None:
        """Read the list from the store."""
        self.lines = tuple(_line(row) for row in self._store.cases())
        self._strips.clear()

    def strip(self, line: Line) -> StripContent:
        """What the strip of a case shows."""
        case = line.row.case
        kept = self._strips.get(case.id)
        if kept is None:
            session = self._store.find_session(case.id, None) if line.row.n_sessions else None
            markup = self._store.markup(session.id) if session else Markup()
            kept = strip_content(markup, _vocabulary(case.vocabulary), case.length_us)
            self._strips[case.id] = kept
        return kept

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


@lru_cache(maxsize=64)
def _vocabulary(name: str) -> Vocabulary:
    try:
        return vocabulary_named(name)
    except UserFacingError:
        return _EMPTY  # a case keeps its strip when its vocabulary is elsewhere


def _line(row: CaseRow) -> Line:
    case = row.case
    status = _STATUS_WORDS.get(row.status, row.status)
    words = [
        case.code,
        case.operator.code,
        case.operator.level,
        str(case.case_number),
        case.vocabulary,
        case.eye.value if case.eye else "",
        status,
        "model case" if case.is_model else "",
        *(f"{key} {value}" for key, value in case.attributes.items()),
    ]
    return Line(row, status, short_time(case.length_us), " ".join(words).casefold())
