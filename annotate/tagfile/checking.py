"""The rules that a row keeps, whatever kind of file it stands in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from annotate.clock import LONGEST_US, format_time, parse_time, shown
from annotate.errors import UserFacingError
from annotate.people import check_code
from annotate.tagfile.rows import ATTENDING, RowKind, TagRow, clean_text
from annotate.tags import LONGEST_TEXT, WEIGHTS, Leaning
from annotate.vocabulary import Vocabulary

MOST_ROWS = 50_000
TOLERANCE_US = 1000
"""A time may lie this far past the end of the case, which is rounding; it is set to the end."""

_SPAN_KINDS = (RowKind.PHASE, RowKind.IDLE, RowKind.HAND_OVER)
_KINDS = tuple(kind.value for kind in RowKind)
_LEANINGS = tuple(leaning.value for leaning in Leaning)


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """What is wrong with the row on a line."""

    line: int
    wrong: str


@dataclass(frozen=True, slots=True)
class RawRow:
    """The cells of a row as they were read, and the line on which it begins."""

    line: int
    kind: str
    code: str
    start: str
    end: str = ""
    leaning: str = ""
    weight: str = ""
    comment: str = ""


@dataclass(frozen=True, slots=True)
class Rules:
    """What rows are checked against; `length_us` is None where the case's length is not known."""

    vocabulary: Vocabulary
    length_us: int | None = None

    def row_of(self, raw: RawRow) -> TagRow | list[Fault]:
        """Make a row of the cells, or list all that is wrong with them."""
        return _RowCheck(raw, self).result()

    @property
    def codes(self) -> Mapping[RowKind, tuple[str, ...]]:
        """The codes that the vocabulary knows for each kind that has any."""
        words = self.vocabulary
        return {
            RowKind.PHASE: words.phase_codes,
            RowKind.COMMENT: words.phase_codes,
            RowKind.EVENT: tuple(term.code for term in words.events),
            RowKind.IDLE: tuple(term.code for term in words.idle_reasons),
        }


class _RowCheck:
    """Reads one row's cells; a faulty cell is noted and reading goes on."""

    def __init__(self, raw: RawRow, rules: Rules) -> None:
        self._raw = raw
        self._rules = rules
        self._faults: list[Fault] = []

    def result(self) -> TagRow | list[Fault]:
        kind = self._kind()
        start_us, end_us = self._span(kind)
        leaning, weight = self._leaning(), self._weight()
        code, comment = self._code(kind), self._comment()
        if self._faults or kind is None or start_us is None:
            return self._faults
        return TagRow(kind, code, start_us, end_us, leaning, weight, comment)

    def _wrong(self, wrong: str) -> None:
        self._faults.append(Fault(self._raw.line, wrong))

    def _kind(self) -> RowKind | None:
        text = self._raw.kind.strip()
        if text in _KINDS:
            return RowKind(text)
        self._wrong(f"kind is {', '.join(_KINDS)}, not '{shown(text)}'")
        return None

    def _code(self, kind: RowKind | None) -> str:
        code = self._raw.code.strip()
        if kind is None or (kind is RowKind.COMMENT and not code):
            return ""
        if kind is RowKind.HAND_OVER:
            return self._person(code or ATTENDING)
        if code not in self._rules.codes[kind]:
            name = self._rules.vocabulary.name
            what = "phase" if kind is RowKind.COMMENT else kind.value
            said = f"'{shown(code)}' is no {what} in {name}" if code else f"the {what} has no code"
            self._wrong(said)
        return code

    def _person(self, code: str) -> str:
        try:
            return check_code(code, "operator")
        except UserFacingError as error:
            self._wrong(_clause(error))
            return ""

    def _span(self, kind: RowKind | None) -> tuple[int | None, int | None]:
        start_us = self._time(self._raw.start, "start")
        if not self._raw.end.strip():
            if kind in _SPAN_KINDS:
                self._wrong(f"the end is missing, which a row of kind {kind} needs")
            return start_us, None
        end_us = self._time(self._raw.end, "end")
        if start_us is not None and end_us is not None and end_us <= start_us:
            self._wrong(
                f"it ends at {format_time(end_us)}, which is not after its start "
                f"at {format_time(start_us)}"
            )
        return start_us, end_us

    def _time(self, text: str, name: str) -> int | None:
        if not text.strip():
            self._wrong(f"the {name} is missing")
            return None
        try:
            time_us = int(parse_time(text))
        except UserFacingError as error:
            self._wrong(f"{name}: {_clause(error)}")
            return None
        length_us = LONGEST_US if self._rules.length_us is None else self._rules.length_us
        if time_us > length_us + TOLERANCE_US:
            self._wrong(
                f"the {name} {format_time(time_us)} lies beyond the end of the case "
                f"at {format_time(length_us)}"
            )
            return None
        return min(time_us, length_us)

    def _leaning(self) -> Leaning | None:
        text = self._raw.leaning.strip()
        if text and text not in _LEANINGS:
            self._wrong(f"leaning is {', '.join(_LEANINGS)} or nothing, not '{shown(text)}'")
        return Leaning(text) if text in _LEANINGS else None

    def _weight(self) -> int | None:
        text = self._raw.weight.strip()
        known = {str(weight): weight for weight in WEIGHTS}
        if text and text not in known:
            self._wrong(f"weight is 1, 2, 3 or nothing, not '{shown(text)}'")
        return known.get(text)

    def _comment(self) -> str:
        text = self._raw.comment
        if len(text) > LONGEST_TEXT:
            self._wrong(f"the comment has {len(text):,} characters; at most {LONGEST_TEXT:,} fit")
            return ""
        return clean_text(text)


def _clause(error: UserFacingError) -> str:
    """Make the error's sentence a clause of a longer one."""
    return error.what.rstrip(".")
