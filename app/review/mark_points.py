"""Points of marks in shares of the picture: defaults, moving, sizing, and thinning a freehand."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

import cv2
import numpy as np

from annotate.marks import MarkKind, Point

DEFAULT_POINTS: Mapping[MarkKind, tuple[Point, ...]] = MappingProxyType(
    {
        MarkKind.ARROW: ((0.36, 0.64), (0.5, 0.5)),
        MarkKind.RING: ((0.5, 0.5), (0.6, 0.5)),
        MarkKind.LINE: ((0.38, 0.5), (0.62, 0.5)),
        MarkKind.FREEHAND: tuple(
            (0.4 + 0.01 * i, 0.5 + 0.03 * math.sin(i * math.pi / 5)) for i in range(21)
        ),
        MarkKind.TEXT: ((0.5, 0.5),),
        MarkKind.SPOTLIGHT: ((0.5, 0.5), (0.62, 0.5)),
    }
)
"""What a key draws, at the picture's middle."""

MOST_POINTS = 240
"""Of a freehand line; what is more is thinned."""
_FAR = 2.0
"""How far beyond the picture a point may be: shares of it."""
_DIGITS = 6


def held_points(points: Iterable[Point]) -> tuple[Point, ...]:
    """Points as they are kept: near the picture, to a millionth of it."""
    return tuple((round(_held(x), _DIGITS), round(_held(y), _DIGITS)) for x, y in points)


def _held(share: float) -> float:
    return min(max(share, -_FAR), 1 + _FAR)


def moved(points: Sequence[Point], right: float, down: float) -> tuple[Point, ...]:
    """All of them by the same shares of the picture."""
    return tuple((x + right, y + down) for x, y in points)


def scaled(points: Sequence[Point], kind: MarkKind, factor: float) -> tuple[Point, ...]:
    """Larger or smaller about what a mark is about.

    That is the centre of a ring or a spotlight, the tip of an arrow, the middle of all else.
    """
    if kind in (MarkKind.RING, MarkKind.SPOTLIGHT):
        about = points[0]
    elif kind is MarkKind.ARROW:
        about = points[-1]
    else:
        about = (
            sum(x for x, _ in points) / len(points),
            sum(y for _, y in points) / len(points),
        )
    return tuple(
        (about[0] + (x - about[0]) * factor, about[1] + (y - about[1]) * factor) for x, y in points
    )


def thinned(line: Sequence[Point], within: float) -> list[Point]:
    """A drawn line with no more corners than it needs (Douglas and Peucker 1973, by OpenCV).

    Parameters
    ----------
    line : sequence of (x, y)
        Pixels.
    within : float
        How far it may stray from what was drawn, pixels; more where that leaves too many corners.
    """
    drawn = np.array(line, np.float32).reshape(-1, 1, 2)
    while True:
        kept = np.asarray(cv2.approxPolyDP(drawn, within, False)).reshape(-1, 2)
        if len(kept) <= MOST_POINTS:
            return [(float(x), float(y)) for x, y in kept]
        within *= 1.5


def straightened(one: Point, other: Point) -> Point:
    """The second of two places in pixels, turned about the first to the nearest 45 degrees."""
    away = math.dist(one, other)
    turn = round(math.atan2(other[1] - one[1], other[0] - one[0]) / (math.pi / 4)) * (math.pi / 4)
    return one[0] + away * math.cos(turn), one[1] + away * math.sin(turn)
