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


Term = PhaseTerm | EventTerm | IdleTerm


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """A procedure's vocabulary; phases stand in the order in which they are expected.

    Attributes
    ----------
    retired : frozenset of str
        Codes among its terms that are no longer in the list: a review has them from when they
        were. They have no key and are not to be tagged anew. None in a file.
    old_labels : tuple of (str, str)
        Codes that are among no terms any more, and what they were called. None in a file.
    """

    name: str
    title: str
    version: str
    phases: tuple[PhaseTerm, ...]
    events: tuple[EventTerm, ...]
    idle_reasons: tuple[IdleTerm, ...]
    source: str = ""
    retired: frozenset[str] = frozenset()
    old_labels: tuple[tuple[str, str], ...] = ()

    def label(self, code: str) -> str:
        """Label of a code, the last one that it had; the code itself where it never had any."""
        label = next((term.label for term in self.terms if term.code == code), None)
        return label or dict(self.old_labels).get(code, code)

    @property
    def terms(self) -> tuple[Term, ...]:
        """Every word of the vocabulary, retired ones too."""
        return (*self.phases, *self.events, *self.idle_reasons)

    @property
    def terms_to_tag(self) -> tuple[Term, ...]:
        """The words that may be tagged: all but the retired."""
        return tuple(term for term in self.terms if term.code not in self.retired)

    @property
    def phase_codes(self) -> tuple[str, ...]:
        """Codes of the phases in expected order."""
        return tuple(term.code for term in self.phases)
