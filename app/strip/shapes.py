"""What a strip is drawn with: a handful of shapes that any painter can put down."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Anchor(StrEnum):
    """Which end of a text stands at its point."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Box:
    """A filled rectangle; x, y is the upper left corner, y grows downward."""

    x: float
    y: float
    width: float
    height: float
    fill: str
    opacity: float = 1.0


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke; a dotted one is drawn with gaps as long as its dashes."""

    x1: float
    y1: float
    x2: float
    y2: float
    colour: str
    width: float = 1.0
    opacity: float = 1.0
    is_dotted: bool = False


@dataclass(frozen=True, slots=True)
class Polygon:
    """A filled outline."""

    points: tuple[tuple[float, float], ...]
    fill: str
    opacity: float = 1.0


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text whose baseline starts, centres or ends at x, y; `size` is its height.

    Attributes
    ----------
    halo : str
        Colour of an edge about the letters, which keeps a hatch away from them; none where empty.
    """

    x: float
    y: float
    text: str
    size: float
    colour: str
    anchor: Anchor = Anchor.START
    is_bold: bool = False
    halo: str = ""


HALO_PX = 1.5
"""How far a halo reaches beyond its letters."""


Shape = Box | Line | Polygon | Words
