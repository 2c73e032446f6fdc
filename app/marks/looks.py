"""What a mark's look is made of: a light colour, and a dash that belongs to it alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from annotate.marks import MarkLook

UNDER = "#080b0b"
"""The stroke beneath every mark, so that it is seen on white drapes as well as in a dark pupil."""


@dataclass(frozen=True, slots=True)
class LookStyle:
    """How a look is drawn.

    Attributes
    ----------
    colour : str
        ``#rrggbb``, light.
    dash : tuple of float
        Lengths drawn and left out in turn, in widths of the stroke; empty for a whole line.
    words : str
        Colour and dash, for a button and for a screen reader.
    """

    colour: str
    dash: tuple[float, ...]
    words: str


LOOKS: Mapping[MarkLook, LookStyle] = MappingProxyType(
    {
        MarkLook.CHALK: LookStyle("#f7f5ee", (), "Chalk, whole"),
        MarkLook.AMBER: LookStyle("#ffaa0d", (6.0, 3.5), "Amber, dashed"),
        MarkLook.SKY: LookStyle("#66bdff", (0.2, 3.0), "Sky, dotted"),
        MarkLook.ROSE: LookStyle("#e6accf", (7.0, 3.5, 0.2, 3.5), "Rose, dash and dot"),
    }
)


def bgr(colour: str) -> tuple[int, int, int]:
    """Blue, green and red of a colour, 0 to 255."""
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return blue, green, red
