"""The words of every vocabulary in use, so that a search for a label finds its code. No Qt."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from contextlib import suppress

from annotate.errors import UserFacingError
from annotate.vocabulary import EventTerm, IdleTerm, PhaseTerm, Vocabulary
from annotate.vocabulary_file import shipped_names, shipped_vocabulary
from app.vocabulary.own import names as names_today
from app.vocabulary.own import vocabulary_today

_NOUNS = {PhaseTerm: "phase", EventTerm: "event", IdleTerm: "pause"}
_HAND_OVER = {"attending": ("hand-over", "Hand-over")}


class WordsKnown:
    """Labels by code and codes by label, over several vocabularies.

    Parameters
    ----------
    vocabularies : iterable of Vocabulary
        The first that has a code names it.
    """

    def __init__(self, vocabularies: Iterable[Vocabulary]) -> None:
        self._named: dict[str, tuple[str, str]] = {}
        self._words: list[tuple[str, tuple[str, ...]]] = []
        for vocabulary in vocabularies:
            for term in vocabulary.terms:
                self._named.setdefault(term.code, (_NOUNS[type(term)], term.label))
                self._words.append((term.code, tuple(plain_words(term.label))))
        for code, named in _HAND_OVER.items():
            self._named.setdefault(code, named)
            self._words.append((code, tuple(plain_words(named[1]))))

    def label(self, code: str) -> str:
        """Label of a code; the code itself where no vocabulary has it."""
        return self._named.get(code, ("", code))[1]

    def noun(self, code: str) -> str:
        """What a tag of that code is: phase, event, pause, hand-over; else ``tag``."""
        return self._named.get(code, ("tag", ""))[0]

    def codes_for(self, query: str) -> tuple[str, ...]:
        """Codes whose label has, for each word asked for, one that begins with it."""
        wanted = plain_words(query)
        if not wanted:
            return ()
        found = (
            code
            for code, words in self._words
            if all(any(word.startswith(want) for word in words) for want in wanted)
        )
        return tuple(dict.fromkeys(found))


def words_of(names: Iterable[str], editions: Iterable[Vocabulary] = ()) -> WordsKnown:
    """The words of the vocabularies of these names or paths, of all there are, and as they were.

    One that can no longer be read is left out; its codes are then shown as they are.

    Parameters
    ----------
    editions : iterable of Vocabulary
        As they were: they name what no vocabulary of today has.
    """
    found = []
    for name in dict.fromkeys((*names, *names_today())):
        with suppress(UserFacingError):
            found.append(vocabulary_today(name))
    return WordsKnown([*found, *editions, *map(shipped_vocabulary, shipped_names())])


def plain_words(text: str) -> list[str]:
    """Words without accents and capitals, as the store's index takes them."""
    return re.findall(r"\w+", plain(text))


def plain(text: str) -> str:
    """Text without accents and capitals."""
    if text.isascii():  # most is, and it is quicker
        return text.lower()
    parts = unicodedata.normalize("NFD", text.casefold())
    return "".join(c for c in parts if not unicodedata.combining(c))
