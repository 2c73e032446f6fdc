"""Marks painted onto a picture: a light stroke upon a dark one, seen on any ground."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from math import atan2, cos, hypot, pi, sin

from fontpkg_atkinson_hyperlegible import ROOT
from PIL import Image, ImageDraw, ImageFont

from annotate.marks import Mark, MarkKind
from app.handback.wording import clean_text, one_line
from app.look.palette import DARK

FINER = 2
"""The marks are painted at this many times the picture's size, so that edges come out smooth."""
_HEAD_ANGLE = pi / 7

Pixels = list[tuple[float, float]]


def painted(picture: Image.Image, marks: Iterable[Mark]) -> Image.Image:
    """Return a copy of a picture with marks on it; the picture itself where there are none."""
    drawn = list(marks)
    if not drawn:
        return picture
    size = (picture.width * FINER, picture.height * FINER)
    sheet = Image.new("RGBA", size, (0, 0, 0, 0))
    draw = ImageDraw.Draw(sheet)
    core = max(2.0, picture.width / 260) * FINER
    for mark in drawn:
        for colour, width in ((DARK.sunken, core * 2.2), (DARK.accent, core)):
            _stroke(draw, mark, size, colour, width, core)
    sheet = sheet.resize(picture.size, Image.Resampling.BOX)
    return Image.alpha_composite(picture.convert("RGBA"), sheet).convert("RGB")


def _stroke(
    draw: ImageDraw.ImageDraw,
    mark: Mark,
    size: tuple[int, int],
    colour: str,
    width: float,
    core: float,
) -> None:
    points = [(x * size[0], y * size[1]) for x, y in mark.points]
    match mark.kind:
        case MarkKind.TEXT:
            _words(draw, mark.text, points[0], size, colour, width - core)
        case MarkKind.RING:
            _ring(draw, points, colour, width)
        case MarkKind.ARROW:
            _path(draw, points, colour, width)
            _path(draw, _head(points, core * 5), colour, width)
        case MarkKind.LINE | MarkKind.FREEHAND:
            _path(draw, points, colour, width)


def _path(draw: ImageDraw.ImageDraw, points: Pixels, colour: str, width: float) -> None:
    """A line with round ends and corners."""
    if len(points) > 1:
        draw.line(points, fill=colour, width=round(width), joint="curve")
    for x, y in points:
        r = width / 2
        draw.ellipse((x - r, y - r, x + r, y + r), fill=colour)


def _ring(draw: ImageDraw.ImageDraw, points: Pixels, colour: str, width: float) -> None:
    (x, y), (rim_x, rim_y) = points[0], points[-1]
    r = hypot(rim_x - x, rim_y - y) + width / 2
    draw.ellipse((x - r, y - r, x + r, y + r), outline=colour, width=round(width))


def _head(points: Pixels, length: float) -> Pixels:
    """The two barbs of an arrow, as one path through its tip."""
    if len(points) < 2:
        return points
    (tail_x, tail_y), (x, y) = points[-2], points[-1]
    back = atan2(tail_y - y, tail_x - x)
    barbs = [
        (x + length * cos(back + turn), y + length * sin(back + turn))
        for turn in (-_HEAD_ANGLE, _HEAD_ANGLE)
    ]
    return [barbs[0], (x, y), barbs[1]]


def _words(
    draw: ImageDraw.ImageDraw,
    text: str,
    at: tuple[float, float],
    size: tuple[int, int],
    colour: str,
    edge: float,
) -> None:
    font = _font(max(round(size[0] / 30), 16))
    words = one_line(clean_text(text))
    draw.text(
        at,
        words,
        fill=colour,
        font=font,
        anchor="ls",
        stroke_width=round(max(edge, 0.0)),
        stroke_fill=colour,
    )


@lru_cache(maxsize=4)
def _font(size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(ROOT / "files" / "AtkinsonHyperlegible-Bold.ttf", size)
