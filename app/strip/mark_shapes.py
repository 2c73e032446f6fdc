"""The lane of marks: for how long each is seen on the picture, of which kind and look it is.

Kinds have signs of their own, looks the dash that belongs to their colour; the colours themselves
are made for pictures and would vanish on a light ground.
"""

from __future__ import annotations

import itertools
import math

from annotate.marks import Mark, MarkKind
from annotate.markup import Markup
from app.look.palette import Palette
from app.marks.layout import dashes
from app.marks.looks import LOOKS
from app.strip.layout import StripFrame
from app.strip.shapes import Box, Line, Polygon, Shape, Words
from app.strip.word_width import fitted, width_of

SIGN_PX = 8.0
_SIZE = 9.5
_APART_PX = 5.0
"""Between words and the next mark."""
_BEYOND_PX = 4.0
_FOOT_PX = 1.5
_MOST_DASHES_PX = 400.0
"""A longer foot is drawn whole: it is a mark looked at from very near."""

Place = tuple[float, float]
_SIGNS: dict[MarkKind, tuple[tuple[Place, ...], ...]] = {
    MarkKind.ARROW: (((0.0, 1.0), (1.0, 0.0)), ((0.4, 0.0), (1.0, 0.0), (1.0, 0.6))),
    MarkKind.LINE: (((0.0, 0.8), (1.0, 0.2)),),
    MarkKind.FREEHAND: (((0.0, 0.9), (0.3, 0.1), (0.65, 0.9), (1.0, 0.1)),),
    MarkKind.TEXT: (((0.0, 0.05), (1.0, 0.05)), ((0.5, 0.05), (0.5, 1.0))),
}
_DISC = tuple(
    (0.5 + 0.5 * math.cos(i * math.pi / 5), 0.5 + 0.5 * math.sin(i * math.pi / 5))
    for i in range(11)
)


def mark_shapes(markup: Markup, frame: StripFrame, palette: Palette) -> tuple[Shape, ...]:
    """Lay marks out as shapes, back to front: ground, foot, sign, and words where they fit."""
    until_us = frame.end_us if frame.end_us is not None else 1
    scale = frame.width / max(until_us - frame.start_us, 1)
    shapes: list[Shape] = []
    for mark, after in itertools.zip_longest(markup.marks, markup.marks[1:]):
        left = max((mark.start_us - frame.start_us) * scale, -_BEYOND_PX)
        right = min((mark.end_us - frame.start_us) * scale, frame.width + _BEYOND_PX)
        right = max(right, left + 2.0)
        next_us = until_us if after is None else after.start_us
        room = max((next_us - frame.start_us) * scale, left) - max(left, 0.0)
        shapes += _bar(mark, left, right, frame.height, palette)
        if room < SIGN_PX + _APART_PX:
            shapes.append(Line(left, 1.0, left, frame.height - 1, palette.neutral, _FOOT_PX))
        else:
            shapes += _named(mark, max(left, 0.0) + 1.0, room, frame.height, palette)
    return tuple(shapes)


def _bar(mark: Mark, left: float, right: float, height: float, palette: Palette) -> list[Shape]:
    """The span; its foot is dashed as the mark is, one that follows the tissue has two."""
    foot = height - _FOOT_PX
    shapes: list[Shape] = [Box(left, 1.0, right - left, foot - 1.0, palette.raised)]
    dash = [part * _FOOT_PX for part in LOOKS[mark.look].dash]
    feet = (foot - 2.5, foot) if mark.is_following else (foot,)
    for y in feet:
        line = [(left, y), (right, y)]
        parts = dashes(line, dash) if right - left < _MOST_DASHES_PX else [line]
        shapes += [
            Line(part[0][0], y, max(part[-1][0], part[0][0] + 1.0), y, palette.neutral, _FOOT_PX)
            for part in parts
        ]
    return shapes


def _named(mark: Mark, left: float, room: float, height: float, palette: Palette) -> list[Shape]:
    """Sign and words, over the foot and as far as there is room before the next mark.

    A kind is said whole or left to its sign; words of the reviewer's own may be cut.
    """
    base = height - _FOOT_PX - (4.5 if mark.is_following else 2.5)
    sign_px = min(SIGN_PX, base - 0.5)
    shapes = _sign(mark.kind, left, base - sign_px, sign_px, palette.text)
    at = left + sign_px + 4
    room_for_words = room - (at - left) - 1 - _APART_PX
    words = mark.text or mark.kind.value
    if mark.text:
        words = fitted(words, _SIZE, room_for_words)
    elif width_of(words, _SIZE) > room_for_words:
        words = ""
    if words:
        shapes.append(Words(at, base, words, _SIZE, palette.text))
    return shapes


def _sign(kind: MarkKind, left: float, top: float, size: float, colour: str) -> list[Shape]:
    def at(place: Place) -> Place:
        return left + place[0] * size, top + place[1] * size

    if kind is MarkKind.SPOTLIGHT:
        return [Polygon(tuple(map(at, _DISC)), colour)]
    strokes = (_DISC,) if kind is MarkKind.RING else _SIGNS[kind]
    return [
        Line(*at(one), *at(other), colour, 1.4)
        for stroke in strokes
        for one, other in itertools.pairwise(stroke)
    ]
