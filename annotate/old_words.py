"""Words that a review was made with, beside those of today.

A code that the list of today lacks keeps the label, the place and the leaning it had, so that
an old review reads, and adds up, as it did.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

from annotate.markup import Markup
from annotate.tags import TagKind
from annotate.vocabulary import EventTerm, IdleTerm, PhaseTerm, Vocabulary

NO_KEY = "none"
"""In place of a retired word's key; nothing that is typed is this."""
T = TypeVar("T", PhaseTerm, EventTerm, IdleTerm)


def codes_in(markup: Markup) -> frozenset[str]:
    """Codes of phases, events and idle reasons that a review has."""
    return frozenset(tag.code for tag in markup.tags if tag.kind is not TagKind.HAND_OVER)


def with_old_words(
    today: Vocabulary, editions: Iterable[Vocabulary], used: Collection[str]
) -> Vocabulary:
    """Give a vocabulary the words that it has no more.

    Parameters
    ----------
    editions : iterable of Vocabulary
        As it was, the one to be asked first at the front.
    used : collection of str
        Codes that a review has. Those that are gone stand among the terms again, as retired, each
        behind the one that it followed; of the others only the label is kept.
    """
    merged = today
    labels: dict[str, str] = {}
    known = {term.code for term in today.terms}
    for edition in editions:
        for term in edition.terms:
            if term.code not in known:
                labels.setdefault(term.code, term.label)
        wanted = set(used) - {term.code for term in merged.terms}
        merged = replace(
            merged,
            phases=_merged(merged.phases, edition.phases, wanted),
            events=_merged(merged.events, edition.events, wanted),
            idle_reasons=_merged(merged.idle_reasons, edition.idle_reasons, wanted),
        )
    retired = {term.code for term in merged.terms} - known
    return replace(
        merged,
        retired=today.retired | retired,
        old_labels=tuple(sorted({**labels, **dict(today.old_labels)}.items())),
    )


def _merged(terms: Sequence[T], old: Sequence[T], wanted: Collection[str]) -> tuple[T, ...]:
    made = list(terms)
    for place, term in enumerate(old):
        if term.code in wanted:
            made.insert(_place(made, old[:place]), replace(term, key=NO_KEY))
    return tuple(made)


def _place(made: Sequence[T], before: Sequence[T]) -> int:
    """Where a term goes: behind the nearest of those before it that is there."""
    codes = [term.code for term in made]
    for term in reversed(before):
        if term.code in codes:
            return codes.index(term.code) + 1
    return 0
