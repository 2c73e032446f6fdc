"""The words of every vocabulary in use, so that a search for a label finds its code. No Qt."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from types import MappingProxyType

from annotate.errors import UserFacingError
from annotate.vocabulary import EventTerm, IdleTerm, PhaseTerm, Vocabulary
from annotate.vocabulary_file import shipped_names, shipped_vocabulary
from app.vocabulary.own import names as names_today
from app.vocabulary.own import vocabulary_today
from app.vocabulary.words import asked_for_labels

_NOUNS = {PhaseTerm: "phase", EventTerm: "event", IdleTerm: "pause"}
_HAND_OVER = {"attending": ("hand-over", "Hand-over")}
_Named = tuple[str, str]
"""What a tag is, and its label."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What decides with which words a review is read, see `app.vocabulary.words.words_of`."""

    vocabulary: str = ""
    first_hash: str = ""
    is_signed: bool = False


class WordsKnown:
    """Labels by code and codes by label, over several vocabularies.

    Parameters
    ----------
    today : mapping of str to Vocabulary
        As they are now, by what cases call them.
    editions : mapping of str to Vocabulary
        As they were, by their hashes, the newest first.
    shipped : iterable of Vocabulary
        Asked last.
    """

    def __init__(
        self,
        today: Mapping[str, Vocabulary],
        editions: Mapping[str, Vocabulary] = MappingProxyType({}),
        shipped: Iterable[Vocabulary] = (),
    ) -> None:
        self._today, self._editions = today, editions
        every = (*today.values(), *editions.values(), *shipped)
        self._anywhere = {**_HAND_OVER, **_names(every)}
        self._read: dict[Reading, dict[str, _Named]] = {}
        labels: dict[str, dict[str, None]] = {}
        for vocabulary in every:
            for term in vocabulary.terms:
                labels.setdefault(term.code, {})[term.label] = None
        for code, (_, label) in _HAND_OVER.items():
            labels.setdefault(code, {})[label] = None
        self._labels = {
            code: [(label, plain_words(label)) for label in found] for code, found in labels.items()
        }

    def _named(self, code: str, reading: Reading) -> _Named | None:
        if reading not in self._read:
            asked = asked_for_labels(
                self._today.get(reading.vocabulary), reading.vocabulary, self._editions,
                reading.first_hash, is_signed=reading.is_signed,
            )  # fmt: skip
            self._read[reading] = _names(asked)
        return self._read[reading].get(code) or self._anywhere.get(code)

    def label(self, code: str, reading: Reading = Reading()) -> str:
        """Label of a code as a review is read; the code itself where no vocabulary has it."""
        named = self._named(code, reading)
        return named[1] if named else code

    def noun(self, code: str, reading: Reading = Reading()) -> str:
        """What a tag of that code is: phase, event, pause, hand-over; else ``tag``."""
        named = self._named(code, reading)
        return named[0] if named else "tag"

    def codes_for(self, query: str) -> tuple[str, ...]:
        """Codes of which a label, of today or before, has all words asked for."""
        wanted = plain_words(query)
        if not wanted:
            return ()
        return tuple(
            code
            for code, labels in self._labels.items()
            if any(has_all(wanted, words) for _, words in labels)
        )

    def other_label(self, code: str, query: str, reading: Reading) -> str:
        """The label by which a code was found: today's first; empty where none has the words."""
        wanted = plain_words(query)
        today = self._today.get(reading.vocabulary)
        now = today.label(code) if today is not None else ""
        found = [label for label, words in self._labels.get(code, ()) if has_all(wanted, words)]
        return now if now in found else next(iter(found), "")


def _names(vocabularies: Iterable[Vocabulary]) -> dict[str, _Named]:
    """What each code is and is called; the first vocabulary that has it names it."""
    found: dict[str, _Named] = {}
    for vocabulary in vocabularies:
        for term in vocabulary.terms:
            found.setdefault(term.code, (_NOUNS[type(term)], term.label))
    return found


def has_all(wanted: Iterable[str], words: Iterable[str]) -> bool:
    """Whether each word asked for is the beginning of one of these."""
    words = tuple(words)
    return all(any(word.startswith(want) for word in words) for want in wanted)


def words_known(
    names: Iterable[str], editions: Mapping[str, Vocabulary] = MappingProxyType({})
) -> WordsKnown:
    """The words of the vocabularies of these names or paths, of all there are, and as they were.

    One that can no longer be read is left out; its codes are then shown as they were kept.

    Parameters
    ----------
    editions : mapping of str to Vocabulary
        As they were, by their hashes, the newest first.
    """
    today = {}
    for name in dict.fromkeys((*names, *names_today())):
        with suppress(UserFacingError):
            today[name] = vocabulary_today(name)
    return WordsKnown(today, editions, map(shipped_vocabulary, shipped_names()))


def plain_words(text: str) -> list[str]:
    """Words without accents and capitals, as the store's index takes them."""
    return re.findall(r"\w+", plain(text))


def plain(text: str) -> str:
    """Text without accents and capitals."""
    if text.isascii():  # most is, and it is quicker
        return text.lower()
    parts = unicodedata.normalize("NFD", text.casefold())
    return "".join(c for c in parts if not unicodedata.combining(c))
