"""A parsed TOML document into a vocabulary, with every fault found on the way."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import Any

from annotate.clock import shown
from annotate.tags import WEIGHTS, Leaning
from annotate.toml_lines import Place, TomlLines
from annotate.vocabulary import EventTerm, IdleTerm, PhaseTerm, SettingLimit, Term, Vocabulary

KEYS = frozenset("1234567890qwertasdfgzxcvbQWERTASDFGZXCVB")
"""Keys a vocabulary may use: the number row and the left hand, shifted or not.

The right hand, the space bar and all named keys belong to the player.
"""
UNITS: Mapping[str, str] = {
    "vacuum": "mmHg",
    "flow": "cc/min",
    "power": "%",
    "duty-cycle": "%",
}
"""Settings that the desk keeps, with their units; a limit on another setting has its own unit."""

MOST_TERMS = 200
_CODE = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*", re.ASCII)
_LEANINGS = tuple(leaning.value for leaning in Leaning)
_HEADER = {"name", "title", "version", "source", "phase", "event", "idle"}


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """What is wrong on which line and place; at `other` the same stands already."""

    line: int
    wrong: str
    place: Place = field(default=(), compare=False)
    other: Place = field(default=(), compare=False)


def vocabulary_from(
    document: Mapping[str, Any], lines: TomlLines
) -> tuple[Vocabulary | None, list[Fault]]:
    """Make a vocabulary of a parsed document.

    Returns
    -------
    vocabulary : Vocabulary or None
        None where there is any fault.
    faults : list of Fault
        All of them.
    """
    check = _Check(lines)
    top = _Table(check, document, ())
    top.refuse_unknown(_HEADER)
    made = Vocabulary(
        name=top.code("name"),
        title=top.text("title", 80),
        version=top.text("version", 20),
        phases=tuple(_phase(table) for table in top.tables("phase")),
        events=tuple(_event(table) for table in top.tables("event")),
        idle_reasons=tuple(_idle(table) for table in top.tables("idle")),
        source=top.text("source", 400),
    )
    if not document.get("phase"):
        check.add((), "there is no [[phase]]")
    check.refuse_twice(made)
    return (None if check.faults else made), check.faults


def _phase(table: _Table) -> PhaseTerm:
    table.refuse_unknown({"code", "label", "key", "good", "limit"})
    return PhaseTerm(
        code=table.code("code"),
        label=table.text("label", 40),
        key=table.key(),
        good=table.text("good", 160),
        limits=tuple(_limit(limit) for limit in table.tables("limit")),
    )


def _event(table: _Table) -> EventTerm:
    table.refuse_unknown({"code", "label", "key", "good", "leaning", "weight"})
    return EventTerm(
        code=table.code("code"),
        label=table.text("label", 40),
        key=table.key(),
        leaning=Leaning(table.choice("leaning", _LEANINGS)),
        good=table.text("good", 160),
        weight=table.weight(),
    )


def _idle(table: _Table) -> IdleTerm:
    table.refuse_unknown({"code", "label", "key"})
    return IdleTerm(code=table.code("code"), label=table.text("label", 40), key=table.key())


def _limit(table: _Table) -> SettingLimit:
    table.refuse_unknown({"setting", "unit", "source", "at_least", "at_most"})
    setting, unit = table.code("setting"), table.text("unit", 20)
    if setting in UNITS and unit and unit != UNITS[setting]:
        table.fault("unit", f"{setting} is kept in {UNITS[setting]}, not in '{shown(unit)}'")
    lower, upper = table.number("at_least"), table.number("at_most")
    if lower is None and upper is None:
        table.fault(None, "a limit needs at_least or at_most")
    elif lower is not None and upper is not None and lower > upper:
        table.fault("at_least", f"at_least {lower:g} lies above at_most {upper:g}")
    return SettingLimit(
        setting=setting,
        unit=unit,
        source=table.text("source", 200),
        at_least=lower,
        at_most=upper,
    )


class _Check:
    """Faults found so far, each placed on its line."""

    def __init__(self, lines: TomlLines) -> None:
        self._lines = lines
        self.faults: list[Fault] = []

    def add(self, place: Place, wrong: str, other: Place = ()) -> None:
        fault = Fault(self._lines.of(*place), wrong, place, other)
        if fault not in self.faults:
            self.faults.append(fault)

    def refuse_twice(self, made: Vocabulary) -> None:
        """Refuse a code or a key that two terms share, whatever kind they are of."""
        kinds: tuple[tuple[str, tuple[Term, ...]], ...] = (
            ("phase", made.phases),
            ("event", made.events),
            ("idle", made.idle_reasons),
        )
        by_code: dict[str, Place] = {}
        by_key: dict[str, Place] = {}
        for kind, terms in kinds:
            for ordinal, term in enumerate(terms):
                place = (kind, ordinal)
                self._refuse_second(by_code, "code", term.code, place)
                self._refuse_second(by_key, "key", term.key, place)

    def _refuse_second(self, taken: dict[str, Place], name: str, value: str, place: Place) -> None:
        first = taken.setdefault(value, place)
        if value and first != place:
            line = self._lines.of(*first, name)
            wrong = f"{name} '{value}' is already taken on line {line}"
            self.add((*place, name), wrong, first)


class _Table:
    """One table of the document: reads its entries, and notes what is wrong with them.

    A faulty entry yields an empty value, so that reading goes on to the next fault.
    """

    def __init__(self, check: _Check, entries: Mapping[str, Any], place: Place) -> None:
        self._check = check
        self._entries = entries
        self._place = place

    def fault(self, name: str | None, wrong: str) -> None:
        self._check.add(self._place if name is None else (*self._place, name), wrong)

    def refuse_unknown(self, known: set[str]) -> None:
        for name in self._entries:
            if name not in known:
                self.fault(name, f"'{shown(name)}' is no entry here")

    def tables(self, name: str) -> list[_Table]:
        found = self._entries.get(name, [])
        if not isinstance(found, list) or not all(isinstance(e, dict) for e in found):
            self.fault(name, f"'{name}' is written as [[{name}]], once for each")
            return []
        if len(found) > MOST_TERMS:
            self.fault(name, f"more than {MOST_TERMS} of [[{name}]]")
            return []
        return [
            _Table(self._check, entries, (*self._place, name, ordinal))
            for ordinal, entries in enumerate(found)
        ]

    def text(self, name: str, longest: int) -> str:
        value = self._entries.get(name)
        if value is None:
            self.fault(name, f"'{name}' is missing")
        elif not isinstance(value, str):
            self.fault(name, f'{name} must be text, such as {name} = "{_quoted(value)}"')
        elif not value.strip():
            self.fault(name, f"{name} is empty")
        elif len(value) > longest:
            self.fault(name, f"{name} has over {longest} characters")
        elif not value.isprintable():
            self.fault(name, f"{name} must be one line of text")
        else:
            return value
        return ""

    def code(self, name: str) -> str:
        value = self.text(name, 40)
        if value and not _CODE.fullmatch(value):
            self.fault(name, f"'{shown(value)}' is no {name}: small letters, digits, dashes")
            return ""
        return value

    def key(self) -> str:
        value = self.text("key", 40)
        if value and value not in KEYS:
            allowed = "a digit or one of q w e r t a s d f g z x c v b, small or capital"
            self.fault("key", f"key '{shown(value)}' is not free; take {allowed}")
            return ""
        return value

    def choice(self, name: str, choices: tuple[str, ...]) -> str:
        value = self.text(name, 40)
        if value and value not in choices:
            self.fault(name, f"{name} is {', '.join(choices)}, not '{shown(value)}'")
        return value if value in choices else choices[-1]

    def weight(self) -> int:
        value = self._entries.get("weight", 1)
        if type(value) is not int or value not in WEIGHTS:
            self.fault("weight", f"weight is 1, 2 or 3, not {_quoted(value)}")
            return 1
        return value

    def number(self, name: str) -> float | None:
        value = self._entries.get(name)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not _is_sane(value):
            self.fault(name, f"{name} must be a number of 0 or more, not {_quoted(value)}")
            return None
        return float(value)


def _is_sane(value: float) -> bool:
    return 0 <= value <= 1_000_000 and isfinite(value)


def _quoted(value: object) -> str:
    is_huge = isinstance(value, int) and abs(value) > 10**15
    return "a huge number" if is_huge else shown(str(value))
