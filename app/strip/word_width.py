"""How wide words become in the desk's font, without a font: a little too wide, never too narrow.

Strips are laid out where no Qt is; tests/app/strip/test_word_width.py holds this against the font.
"""

from __future__ import annotations

_BY_WIDTH = (
    (0.33, "'ijlIJ ,."),
    (0.42, "/:;\\|f-()[]t!r"),
    (0.56, '"*_`sz?cL'),
    (0.66, "FkvxyPTYaeoESbdghnpqu$0123456789{}K"),
    (0.8, "AVXZBRCUHNDG&OQ"),
    (0.86, "w#+<=>^~M"),
    (1.0, "mW%@\N{HORIZONTAL ELLIPSIS}"),
)
_WIDTH = {each: width for width, some in _BY_WIDTH for each in some}
_UNKNOWN = 1.1
"""Of any other character, in parts of the size."""
FEWEST = 8
"""Fewer letters of a word than these say nothing."""


def width_of(words: str, size: float) -> float:
    """Pixels that words of a size need at the most; a screen rounds the size to whole pixels."""
    return sum(_WIDTH.get(each, _UNKNOWN) for each in words) * max(round(size), size)


def fitted(words: str, size: float, room: float) -> str:
    """As much of words as fits, with a mark where they are cut; empty where next to none does."""
    if width_of(words, size) <= room:
        return words
    room -= width_of("\N{HORIZONTAL ELLIPSIS}", size)
    used, kept = 0.0, 0
    for each in words:
        used += width_of(each, size)
        if used > room:
            break
        kept += 1
    return f"{words[:kept].rstrip()}\N{HORIZONTAL ELLIPSIS}" if kept >= FEWEST else ""
