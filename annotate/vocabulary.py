"""A procedure's words: phases, events, idle reasons and setting limits.

The nouns stand here; `annotate.vocabulary_file` reads them from TOML.
"""

from __future__ import annotations

from dataclasses import dataclass

from annotate.tags import Leaning


@dataclass(frozen=True, slots=True)
class SettingLimit:
    """A machine value that good practice keeps within bounds; `source` says on whose word."""

    setting: str
    unit: str
    source: str
    at_least: float | None = None
    at_most: float | None = None


@dataclass(frozen=True, slots=True)
class PhaseTerm:
    """One phase of the procedure; `good` says in one line what good looks like."""

    code: str
    label: str
    key: str
    good: str
    limits: tuple[SettingLimit, ...] = ()


@dataclass(frozen=True, slots=True)
class EventTerm:
    """A thing worth a tag when it happens; `good` says what good looks like, or why it is good."""

    code: str
    label: str
    key: str
    leaning: Leaning
    good: str
    weight: int = 1


@dataclass(frozen=True, slots=True)
class IdleTerm:
    """A reason for a pause."""

    code: str
    label: str
    key: str


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """A procedure's vocabulary; phases stand in the order in which they are expected."""

    name: str
    title: str
    version: str
    phases: tuple[PhaseTerm, ...]
    events: tuple[EventTerm, ...]
    idle_reasons: tuple[IdleTerm, ...]
    source: str = ""

    def label(self, code: str) -> str:
        """Label of a phase, event or idle reason; the code itself where it is unknown."""
        return next((term.label for term in self.terms if term.code == code), code)

    @property
    def terms(self) -> tuple[PhaseTerm | EventTerm | IdleTerm, ...]:
        """Every word of the vocabulary."""
        return (*self.phases, *self.events, *self.idle_reasons)

    @property
    def phase_codes(self) -> tuple[str, ...]:
        """Codes of the phases in expected order."""
        return tuple(term.code for term in self.phases)
