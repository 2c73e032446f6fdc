"""What the editor of a vocabulary decides; it has no window.

What is right is decided by the check that files go through when they are loaded, and by nothing
else: the draft is laid out as its file would be, and each fault is told at its field.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from annotate.toml_lines import Place, TomlLines
from annotate.vocabulary import Vocabulary
from annotate.vocabulary_check import UNITS, Fault, vocabulary_from
from annotate.vocabulary_text import KINDS, text_of
from app.notify import Notifier
from app.vocabulary.draft import (
    NOUNS,
    Draft,
    LimitDraft,
    TermDraft,
    code_from,
    document_of,
    draft_of,
    next_version,
)

_MOST_STEPS = 500
_PLAIN = {"at_least": "the least value", "at_most": "the most", "good": "what good looks like"}


class VocabularyPresenter:
    """A vocabulary that is being changed.

    Parameters
    ----------
    uses : mapping of str to int
        In how many reviews each code stands; such a code is never changed.
    is_kept : bool
        False for one that has no file yet.
    """

    def __init__(
        self, vocabulary: Vocabulary, uses: Mapping[str, int], *, is_kept: bool = True
    ) -> None:
        self.changed: Notifier[[]] = Notifier()
        self.uses = uses
        self._is_kept = is_kept
        self.original = draft_of(vocabulary)
        self.draft = self.original
        self.faults: dict[Place, str] = {}
        self._done: list[tuple[Place, Draft]] = []
        self._undone: list[Draft] = []
        self._made: Vocabulary | None = None
        self._check()

    # What stands there

    @property
    def is_changed(self) -> bool:
        """Whether there is anything to keep."""
        return self.draft != self.original or not self._is_kept

    @property
    def may_keep(self) -> bool:
        """Whether it is changed and right."""
        return self.is_changed and self._made is not None

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to take back."""
        return bool(self._done)

    @property
    def can_redo(self) -> bool:
        """Whether there is a step to do again."""
        return bool(self._undone)

    @property
    def next_version(self) -> str:
        """The version that keeping makes."""
        return next_version(self.original.version)

    def fault(self, *place: str | int) -> str:
        """What is wrong at a field; empty where nothing is."""
        return self.faults.get(place, "")

    def is_faulty(self, kind: str, ordinal: int) -> bool:
        """Whether anything is wrong with a word."""
        return any(place[:2] == (kind, ordinal) for place in self.faults)

    def owner(self, key: str) -> str:
        """Label of the word that has a key; empty where it is free."""
        return next((t.label or t.code for t in self.draft.all_terms if t.key == key), "")

    def is_locked(self, kind: str, ordinal: int) -> bool:
        """Whether a word's code stays as it is, because reviews have it."""
        term = self.draft.terms(kind)[ordinal]
        return not term.is_new and term.code in self.uses

    def code_words(self, kind: str, ordinal: int) -> str:
        """Say of a code why it is as it is."""
        term = self.draft.terms(kind)[ordinal]
        if term.is_new:
            return "made from the label"
        n = self.uses.get(term.code, 0)
        if n:
            return f"stays: it stands in {n} review{'' if n == 1 else 's'}"
        return "no review has it yet"

    def parting_words(self, kind: str, ordinal: int) -> str:
        """Say what becomes of the reviews that have a word when it goes; empty where none has."""
        term = self.draft.terms(kind)[ordinal]
        n = 0 if term.is_new else self.uses.get(term.code, 0)
        if not n:
            return ""
        reviews = "1 review has" if n == 1 else f"{n} reviews have"
        return (
            f"{reviews} '{term.label}'. They keep it under this name, with their figures; it can "
            "no longer be tagged."
        )

    # What is done

    def set_head(self, field: str, text: str) -> None:
        """Change title or source."""
        fields: dict[str, Any] = {field: text}
        self._do((field,), replace(self.draft, **fields))

    def set_term(self, kind: str, ordinal: int, **fields: Any) -> None:
        """Change fields of a word; the code of a new one follows its label."""
        term = replace(self.draft.terms(kind)[ordinal], **fields)
        if "code" in fields:
            if self.is_locked(kind, ordinal):
                return
            term = replace(term, is_new=False)
        elif term.is_new:
            term = replace(term, code=self._code(kind, ordinal, term.label))
        is_typed = bool(fields.keys() & {"label", "code", "good"})
        where: Place = (kind, ordinal, *map(str, fields)) if is_typed else ()
        self._put(where, kind, ordinal, term)

    def add(self, kind: str) -> int:
        """Add a word with the first free key at the end of a list; its place."""
        terms = self.draft.terms(kind)
        fresh = TermDraft(
            code=self._code(kind, len(terms), ""),
            is_new=True,
            leaning="neutral",
        )
        self._do((), self.draft.with_terms(kind, (*terms, fresh)))
        return len(terms)

    def remove(self, kind: str, ordinal: int) -> None:
        """Take a word out of its list."""
        terms = self.draft.terms(kind)
        self._do((), self.draft.with_terms(kind, terms[:ordinal] + terms[ordinal + 1 :]))

    def move(self, kind: str, ordinal: int, by: int) -> int:
        """Move a word within its list; where it is then."""
        terms = list(self.draft.terms(kind))
        target = min(max(ordinal + by, 0), len(terms) - 1)
        if target != ordinal:
            terms.insert(target, terms.pop(ordinal))
            self._do((), self.draft.with_terms(kind, tuple(terms)))
        return target

    def add_limit(self, ordinal: int) -> None:
        """Add a limit to a phase."""
        term = self.draft.phase[ordinal]
        self.set_term("phase", ordinal, limits=(*term.limits, LimitDraft()))

    def remove_limit(self, ordinal: int, place: int) -> None:
        """Take a limit from a phase."""
        limits = self.draft.phase[ordinal].limits
        self.set_term("phase", ordinal, limits=limits[:place] + limits[place + 1 :])

    def set_limit(self, ordinal: int, place: int, field: str, text: str) -> None:
        """Change a field of a phase's limit; a known setting brings its unit."""
        term = self.draft.phase[ordinal]
        limits = list(term.limits)
        fields: dict[str, Any] = {field: text}
        limits[place] = replace(limits[place], **fields)
        if field == "setting" and text in UNITS:
            limits[place] = replace(limits[place], unit=UNITS[text])
        where = ("phase", ordinal, "limit", place, field)
        self._put(where, "phase", ordinal, replace(term, limits=tuple(limits)))

    def undo(self) -> None:
        """Take the last step back."""
        if self._done:
            self._undone.append(self.draft)
            self.draft = self._done.pop()[1]
            self._check()
            self.changed.tell()

    def redo(self) -> None:
        """Do again what was taken back."""
        if self._undone:
            self._done.append(((), self.draft))
            self.draft = self._undone.pop()
            self._check()
            self.changed.tell()

    def made(self) -> Vocabulary:
        """The vocabulary as it is to be kept, one version on.

        Raises
        ------
        ValueError
            If anything is wrong with it.
        """
        if self._made is None:
            raise ValueError("the vocabulary is not right yet")
        return replace(self._made, version=self.next_version)

    def kept(self, vocabulary: Vocabulary, uses: Mapping[str, int]) -> None:
        """Go on from what was kept."""
        self.uses = uses
        self._is_kept = True
        self.original = self.draft = draft_of(vocabulary)
        self._done.clear()
        self._undone.clear()
        self._check()
        self.changed.tell()

    def _put(self, where: Place, kind: str, ordinal: int, term: TermDraft) -> None:
        terms = list(self.draft.terms(kind))
        terms[ordinal] = term
        self._do(where, self.draft.with_terms(kind, tuple(terms)))

    def _do(self, where: Place, draft: Draft) -> None:
        """One step; typing on in one field is one step."""
        if draft == self.draft:
            return
        is_typing_on = bool(where) and bool(self._done) and self._done[-1][0] == where
        if not is_typing_on or self._undone:
            self._done.append((where, self.draft))
            del self._done[:-_MOST_STEPS]
        self._undone.clear()
        self.draft = draft
        self._check()
        self.changed.tell()

    def _code(self, kind: str, ordinal: int, label: str) -> str:
        others = (
            term.code
            for other in KINDS
            for place, term in enumerate(self.draft.terms(other))
            if (other, place) != (kind, ordinal)
        )
        return code_from(label, {*others, *self.uses}, f"{kind}-{ordinal + 1}")

    def _check(self) -> None:
        document = document_of(self.draft)
        self._made, faults = vocabulary_from(document, TomlLines(text_of(document)))
        self.faults = {}
        for fault in faults:
            self.faults.setdefault(fault.place, self._words(fault))
        for place in [place for place in self.faults if place and isinstance(place[-1], int)]:
            if any((*place, bound) in self.faults for bound in ("at_least", "at_most")):
                del self.faults[place]  # a bound that is no number is told, not that there is none

    def _words(self, fault: Fault) -> str:
        """A fault as it is said at its field."""
        field = str(fault.place[-1]) if fault.place else ""
        if fault.other:
            kind, ordinal = str(fault.other[0]), int(fault.other[1])
            term = self.draft.terms(kind)[ordinal]
            return f"The {NOUNS[kind]} '{term.label or term.code}' has this {field} already."
        if field == "key" and fault.wrong == "key is empty":
            return "Choose a free key."
        if not fault.place:
            return "A procedure needs a phase at least."
        if field not in _PLAIN and not isinstance(fault.place[-1], str):
            return "Give the least value, the most, or both."
        words = fault.wrong
        for name, plain in _PLAIN.items():
            words = words.replace(name, plain)
        return f"{words[0].upper()}{words[1:]}."
