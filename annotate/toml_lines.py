"""On which line of a TOML file each table and each key stands, so that a fault can be placed."""

from __future__ import annotations

import re

Place = tuple[str | int, ...]
"""Path into the document: names of tables and keys, and ordinals within arrays of tables."""

_NAME = r"\s*(?:[A-Za-z0-9_-]+|\"[^\"\n]*\"|'[^'\n]*')\s*"
_ARRAY = re.compile(rf"\s*\[\[({_NAME}(?:\.{_NAME})*)\]\]")
_TABLE = re.compile(rf"\s*\[({_NAME}(?:\.{_NAME})*)\]")
_KEY = re.compile(rf"({_NAME})=")
_TRIPLE = re.compile(r'"""|\'\'\'')


class TomlLines:
    """Lines of the tables and keys in one TOML text.

    Inline tables and dotted keys are not looked into: a fault in one is placed at the key that
    holds it.

    Parameters
    ----------
    text : str
        The whole file, already known to parse.
    """

    def __init__(self, text: str) -> None:
        self._lines: dict[Place, int] = {}
        self._counts: dict[Place, int] = {}
        inside: Place = ()
        open_quotes = ""
        for number, line in enumerate(text.split("\n"), start=1):
            if not open_quotes:
                inside = self._note(line, number, inside)
            open_quotes = _quotes_left_open(line, open_quotes)

    def of(self, *place: str | int) -> int:
        """Line of `place`, or of the nearest thing around it; 1 where nothing is known."""
        for depth in range(len(place), 0, -1):
            found = self._lines.get(place[:depth])
            if found is not None:
                return found
        return 1

    def _note(self, line: str, number: int, inside: Place) -> Place:
        array, table, key = _ARRAY.match(line), _TABLE.match(line), _KEY.match(line)
        if array:
            inside = self._next_of(self._resolved(_names(array[1])))
            self._lines.setdefault(inside, number)
        elif table:
            inside = self._resolved(_names(table[1]))
            self._lines.setdefault(inside, number)
        elif key:
            self._lines.setdefault((*inside, *_names(key[1])), number)
        return inside

    def _resolved(self, names: list[str]) -> Place:
        """Put behind each array of tables on the way the ordinal of its latest table."""
        place: Place = ()
        for name in names[:-1]:
            place = (*place, name)
            if place in self._counts:
                place = (*place, self._counts[place] - 1)
        return (*place, names[-1])

    def _next_of(self, place: Place) -> Place:
        self._counts[place] = self._counts.get(place, 0) + 1
        return (*place, self._counts[place] - 1)


def _names(dotted: str) -> list[str]:
    return [part.strip().strip("\"'") for part in dotted.split(".")]


def _quotes_left_open(line: str, open_quotes: str) -> str:
    for found in _TRIPLE.findall(line):
        if not open_quotes:
            open_quotes = found
        elif open_quotes == found:
            open_quotes = ""
    return open_quotes
