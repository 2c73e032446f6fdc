"""A vocabulary while it is changed: what stands in the fields, right or not yet."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Any

from annotate.tags import Leaning
from annotate.vocabulary import EventTerm, PhaseTerm, SettingLimit, Term, Vocabulary
from annotate.vocabulary_text import KINDS, Document

LONGEST_CODE = 40
NOUNS = {"phase": "phase", "event": "event", "idle": "idle reason"}


@dataclass(frozen=True, slots=True)
class LimitDraft:
    """A limit as it is typed; a bound may be anything yet."""

    setting: str = ""
    unit: str = ""
    at_least: str = ""
    at_most: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class TermDraft:
    """A word as it is typed; `is_new` while its code is made from its label."""

    code: str = ""
    label: str = ""
    key: str = ""
    good: str = ""
    leaning: str = Leaning.CORRECT.value
    weight: int = 1
    limits: tuple[LimitDraft, ...] = ()
    is_new: bool = False


@dataclass(frozen=True, slots=True)
class Draft:
    """All that the editor holds; `terms` has the three lists by the names of their tables."""

    name: str
    title: str
    version: str
    source: str
    phase: tuple[TermDraft, ...]
    event: tuple[TermDraft, ...]
    idle: tuple[TermDraft, ...]

    def terms(self, kind: str) -> tuple[TermDraft, ...]:
        """One of the three lists."""
        found: tuple[TermDraft, ...] = getattr(self, kind)
        return found

    def with_terms(self, kind: str, terms: tuple[TermDraft, ...]) -> Draft:
        """The same with another list in place of one."""
        fields: dict[str, Any] = {kind: terms}
        return replace(self, **fields)

    @property
    def all_terms(self) -> tuple[TermDraft, ...]:
        """The words of all lists."""
        return (*self.phase, *self.event, *self.idle)


def draft_of(vocabulary: Vocabulary) -> Draft:
    """Begin with a vocabulary as it is."""
    return Draft(
        name=vocabulary.name,
        title=vocabulary.title,
        version=vocabulary.version,
        source=vocabulary.source,
        phase=tuple(_term(term) for term in vocabulary.phases),
        event=tuple(_term(term) for term in vocabulary.events),
        idle=tuple(_term(term) for term in vocabulary.idle_reasons),
    )


def document_of(draft: Draft) -> Document:
    """Lay a draft out as its file would have it, for the check of files to look at."""
    head: Document = {
        "name": draft.name,
        "title": draft.title.strip(),
        "version": draft.version,
        "source": draft.source.strip(),
    }
    return head | {kind: [_entries(kind, term) for term in draft.terms(kind)] for kind in KINDS}


def code_from(label: str, taken: Collection[str], fallback: str) -> str:
    """Make a code from a label: small letters, digits and dashes, and none that is taken."""
    plain = unicodedata.normalize("NFKD", label).encode("ascii", "ignore").decode().lower()
    code = re.sub(r"[^a-z0-9]+", "-", plain).strip("-").lstrip("0123456789-")
    code = code[: LONGEST_CODE - 4].strip("-") or fallback
    made, n = code, 2
    while made in taken:
        made, n = f"{code}-{n}", n + 1
    return made


def next_version(version: str) -> str:
    """The version after: its number counted up, or a number where it had none."""
    head, digits = re.fullmatch(r"(.*?)(\d{0,9})", version, re.ASCII | re.DOTALL).groups()  # type: ignore[union-attr]
    return f"{head}{int(digits) + 1}" if digits else f"{version[:16].strip()} 2"


def _term(term: Term) -> TermDraft:
    made = TermDraft(term.code, term.label, term.key)
    if isinstance(term, PhaseTerm):
        return replace(made, good=term.good, limits=tuple(_limit(limit) for limit in term.limits))
    if isinstance(term, EventTerm):
        return replace(made, good=term.good, leaning=term.leaning.value, weight=term.weight)
    return made


def _limit(limit: SettingLimit) -> LimitDraft:
    return LimitDraft(
        limit.setting, limit.unit, _typed(limit.at_least), _typed(limit.at_most), limit.source
    )


def _typed(bound: float | None) -> str:
    return "" if bound is None else repr(bound).removesuffix(".0")


def _entries(kind: str, term: TermDraft) -> Document:
    head: Document = {"code": term.code, "label": term.label.strip(), "key": term.key}
    if kind == "idle":
        return head
    good = {"good": term.good.strip()}
    if kind == "event":
        return head | {"leaning": term.leaning, "weight": term.weight} | good
    head |= good
    if term.limits:
        head["limit"] = [_limit_entries(limit) for limit in term.limits]
    return head


def _limit_entries(limit: LimitDraft) -> Document:
    bounds = {"at_least": limit.at_least.strip(), "at_most": limit.at_most.strip()}
    return {
        "setting": limit.setting.strip(),
        "unit": limit.unit.strip(),
        **{name: _number(text) for name, text in bounds.items() if text},
        "source": limit.source.strip(),
    }


def _number(text: str) -> float | str:
    """A number as it was typed; what is none stays text, which the check refuses."""
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return text
