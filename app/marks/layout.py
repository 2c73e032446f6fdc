"""A mark at a moment, as strokes in pixels; what is seen then, and how strongly."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from annotate.clip.showing import AS_FILMED, Framing
from annotate.marks import Mark, MarkKind, Point
from app.handback.wording import clean_text, one_line
from app.marks.looks import LOOKS

Pixel = tuple[float, float]
"""Of an array, from its upper left corner; the middle of the first pixel is (0.5, 0.5)."""
Place = Callable[[Point], Pixel]

FADE_US = 500_000
"""How long a fading mark takes to come, and to go; at most a third of its span each."""
FAINTEST = 0.12
_HEAD_ANGLE = math.pi / 7
_HEAD_CORES = 6.5
_TEXT_CORES = 11.0
_STEPS = 96
"""Corners of a ring."""


@dataclass(frozen=True, slots=True)
class Words:
    """Words of a mark: the left end of their base line, or the middle of it; height in pixels."""

    text: str
    at: Pixel
    size_px: int
    is_centred: bool = False


@dataclass(frozen=True, slots=True)
class Laid:
    """A mark ready to be painted.

    Attributes
    ----------
    strokes : tuple of polylines
        Drawn in the look's dash.
    heads : tuple of polylines
        Drawn whole, such as an arrow's barbs.
    lit : (centre, radius) or None
        The disc that a spotlight leaves as it is.
    core_px : float
        Width of the light stroke.
    opacity : float
        0 to 1.
    """

    mark: Mark
    strokes: tuple[tuple[Pixel, ...], ...]
    heads: tuple[tuple[Pixel, ...], ...]
    words: Words | None
    lit: tuple[Pixel, float] | None
    core_px: float
    opacity: float


def place_in(width: int, height: int, framing: Framing = AS_FILMED) -> Place:
    """From shares of the upright picture to pixels of an array that shows it in a framing."""

    def place(point: Point) -> Pixel:
        x, y = framing.to_view(*point)
        return x * width, y * height

    return place


def core_px(width: int, height: int) -> float:
    """Width of the light stroke on a picture of that size; the same share at every size."""
    return max(2.0, math.sqrt(width * height) / 300)


def marks_at(marks: Iterable[Mark], time_us: int, until_us: int | None = None) -> tuple[Mark, ...]:
    """Those seen at a case time, or on the frame shown from a time until another."""
    until_us = time_us + 1 if until_us is None else until_us
    return tuple(mark for mark in marks if mark.start_us < until_us and time_us < mark.end_us)


def opacity_at(mark: Mark, time_us: int) -> float:
    """How strongly a mark is seen, 0 to 1; within its span never quite gone."""
    if not mark.is_fading:
        return 1.0
    fade_us = min(FADE_US, (mark.end_us - mark.start_us) / 3)
    inside_us = min(time_us - mark.start_us, mark.end_us - time_us)
    return max(FAINTEST, min(inside_us / fade_us, 1.0)) if fade_us else 1.0


def laid_out(
    mark: Mark, points: Sequence[Point], place: Place, core: float, opacity: float = 1.0
) -> Laid:
    """Lay a mark out.

    Parameters
    ----------
    points : sequence of (x, y)
        Where it is at the moment, in shares of the upright picture.
    place : callable
        From these to pixels.
    core : float
        Width of the light stroke, pixels.
    """
    at = tuple(place(point) for point in points)
    strokes: tuple[tuple[Pixel, ...], ...] = ()
    heads: tuple[tuple[Pixel, ...], ...] = ()
    lit = None
    match mark.kind:
        case MarkKind.RING:
            strokes = (circle(at[0], radius_of(at)),)
        case MarkKind.SPOTLIGHT:
            lit = (at[0], radius_of(at))
        case MarkKind.ARROW:
            strokes, heads = (at,), (head(at, core * _HEAD_CORES),)
        case MarkKind.LINE | MarkKind.FREEHAND:
            strokes = (at,)
    return Laid(mark, strokes, heads, _words(mark, at, core), lit, core, opacity)


def radius_of(at: Sequence[Pixel]) -> float:
    """Of a ring or a spotlight: from its centre to the point on its rim."""
    return math.dist(at[0], at[-1])


def circle(centre: Pixel, radius: float) -> tuple[Pixel, ...]:
    """A closed polyline."""
    x, y = centre
    turns = (2 * math.pi * i / _STEPS for i in range(_STEPS + 1))
    return tuple((x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns)


def head(at: Sequence[Pixel], length: float) -> tuple[Pixel, ...]:
    """The two barbs of an arrow, as one path through its tip."""
    if len(at) < 2:
        return tuple(at)
    (tail_x, tail_y), (x, y) = at[-2], at[-1]
    back = math.atan2(tail_y - y, tail_x - x)
    one, other = (
        (x + length * math.cos(back + turn), y + length * math.sin(back + turn))
        for turn in (-_HEAD_ANGLE, _HEAD_ANGLE)
    )
    return one, (x, y), other


def dashes(line: Sequence[Pixel], dash: Sequence[float]) -> list[list[Pixel]]:
    """Cut a polyline into what is drawn of it.

    Parameters
    ----------
    dash : sequence of float
        Lengths drawn and left out in turn, pixels; empty to draw all.
    """
    if not dash or len(line) < 2:
        return [list(line)]
    drawn: list[list[Pixel]] = [[line[0]]]
    place, left, is_on = 0, dash[0], True
    for (x0, y0), (x1, y1) in itertools.pairwise(line):
        length = math.hypot(x1 - x0, y1 - y0)
        gone = 0.0
        while length - gone > left:
            gone += left
            at = (x0 + (x1 - x0) * gone / length, y0 + (y1 - y0) * gone / length)
            if is_on:
                drawn[-1].append(at)
            else:
                drawn.append([at])
            is_on = not is_on
            place = (place + 1) % len(dash)
            left = dash[place]
        left -= length - gone
        if is_on:
            drawn[-1].append((x1, y1))
    return drawn


def dash_px(laid: Laid) -> tuple[float, ...]:
    """The dash of a mark's look, in pixels."""
    return tuple(part * laid.core_px for part in LOOKS[laid.mark.look].dash)


def _words(mark: Mark, at: Sequence[Pixel], core: float) -> Words | None:
    text = one_line(clean_text(mark.text))
    if not text:
        return None
    size = max(round(core * _TEXT_CORES), 13)
    x, y = at[0]
    match mark.kind:
        case MarkKind.TEXT:
            return Words(text, (x, y), size)
        case MarkKind.RING | MarkKind.SPOTLIGHT:
            return Words(text, (x, y + radius_of(at) + size * 1.1), size, is_centred=True)
        case MarkKind.ARROW | MarkKind.LINE if len(at) > 1:
            is_below = at[-1][1] < y  # away from where it points
            return Words(text, (x, y + size * (1.1 if is_below else -0.5)), size, is_centred=True)
    left, top = min(at)[0], min(p[1] for p in at)
    return Words(text, (left, top - size * 0.5), size)
