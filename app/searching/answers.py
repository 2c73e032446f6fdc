"""What a search answers: places by case, with the words that were found set apart. No Qt."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from app.searching.words_known import Reading, WordsKnown, has_all, plain, plain_words, words_known
from app.vocabulary.words import all_editions
from store import Found, Store

MOST = 200
_BEFORE, _LONGEST = 36, 160
"""Characters shown before the first word found, and in all."""

Piece = tuple[str, bool]
"""Some text, and whether it is what was asked for."""


@dataclass(frozen=True, slots=True)
class Line:
    """One place that was found; what it shows is worked out when it is shown.

    Attributes
    ----------
    kind : str
        What it is: comment, mark, phase, event, pause, hand-over.
    said : str
        Its words, all of them.
    query : str
        What was asked for.
    about : str
        Label of the phase that a comment is about, else empty.
    """

    found: Found
    kind: str
    said: str
    query: str
    about: str = ""

    @property
    def words(self) -> str:
        """Its words in one line, those around what was found."""
        return _cut(self.query, self.said)

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The same in pieces."""
        return emphasised(self.query, self.words)


@dataclass(frozen=True, slots=True)
class Answer:
    """What was found for some words; cases stand in the order of their newest place."""

    query: str
    cases: tuple[tuple[str, tuple[Line, ...]], ...] = ()
    is_cut: bool = False

    @property
    def n_places(self) -> int:
        """How many places were found, of those that are shown."""
        return sum(len(lines) for _, lines in self.cases)


class Searching:
    """Searches a store for whoever sits at the desk; may be used on a thread of its own.

    Parameters
    ----------
    viewer : str
        Reviews that are kept from them are left out.
    """

    def __init__(self, store: Store, viewer: str = "") -> None:
        self._store, self.viewer = store, viewer

    @cached_property
    def words(self) -> WordsKnown:
        """The words of the vocabularies that the caseload uses."""
        names = (row.case.vocabulary for row in self._store.cases())
        return words_known(names, all_editions(self._store))

    def ask(self, query: str, limit: int = MOST) -> Answer:
        """Find places for the words; nothing for no words."""
        known = self.words  # read even where nothing is asked for: the first words wait less
        if not plain_words(query):
            return Answer(query)
        codes = known.codes_for(query)
        found = self._store.search(query, codes=codes, viewer=self.viewer, limit=limit + 1)
        return answer(query, found[:limit], known, is_cut=len(found) > limit)


def answer(
    query: str, found: Sequence[Found], words: WordsKnown, *, is_cut: bool = False
) -> Answer:
    """Places by case, each case's in order of time."""
    by_case: dict[str, list[Line]] = {}
    for place in found:
        by_case.setdefault(place.case_code, []).append(_line(query, place, words))
    cases = tuple(
        (code, tuple(sorted(lines, key=lambda line: (line.found.start_us, line.found.row_id))))
        for code, lines in by_case.items()
    )
    return Answer(query, cases, is_cut)


def emphasised(query: str, text: str) -> tuple[Piece, ...]:
    """Text in pieces: beginnings of its words that were asked for, and the rest."""
    wanted = sorted(plain_words(query), key=len, reverse=True)
    pieces: list[Piece] = []
    for part in re.findall(r"\w+|\W+", text):
        word = plain(part)
        begun = next((w for w in wanted if word.startswith(w)), "")
        length = _beginning(begun, part) if begun else 0
        pieces += [(part[:length], True), (part[length:], False)]
    joined: list[Piece] = []
    for piece, is_found in pieces:
        if piece and joined and joined[-1][1] == is_found:
            joined[-1] = (joined[-1][0] + piece, is_found)
        elif piece:
            joined.append((piece, is_found))
    return tuple(joined)


def _beginning(wanted: str, word: str) -> int:
    """How many characters of a word make up what was asked for; 0 where it does not begin so."""
    if not plain(word).startswith(wanted):
        return 0
    if word.isascii():
        return len(wanted)
    return next(n for n in range(1, len(word) + 1) if plain(word[:n]).startswith(wanted))


def _line(query: str, place: Found, words: WordsKnown) -> Line:
    reading = Reading(place.vocabulary, place.vocabulary_hash, place.is_signed)
    label = _label(query, place, words, reading) if place.code else ""
    if place.table == "tags":
        said = f"{label}: {place.text}" if place.text else label
        return Line(place, words.noun(place.code, reading), said, query)
    kind = "comment" if place.table == "comments" else "mark"
    return Line(place, kind, place.text, query, label)


def _label(query: str, place: Found, words: WordsKnown, reading: Reading) -> str:
    """The label that the review is read with, and the one by which it was found if another."""
    label, wanted = words.label(place.code, reading), plain_words(query)
    if any(has_all(wanted, plain_words(text)) for text in (label, place.text, place.code)):
        return label
    other = words.other_label(place.code, query, reading)
    return f"{label} (also: {other})" if other else label


def _cut(query: str, text: str) -> str:
    """One line around the first word that was asked for."""
    line = " ".join(text.split())
    if len(line) <= _LONGEST:
        return line
    wanted = plain_words(query)
    first = next(
        (m.start() for m in re.finditer(r"\w+", line) if any(_beginning(w, m[0]) for w in wanted)),
        0,
    )
    start = max(0, first - _BEFORE)
    cut = line[start : start + _LONGEST]
    return ("…" if start else "") + cut + ("…" if start + _LONGEST < len(line) else "")
