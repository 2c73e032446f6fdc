"""Marks painted onto an array of pixels: a light stroke upon a dark one, seen on any ground.

The same code paints the screen's overlay, the stills of a note and the frames of a clip.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
from fontpkg_atkinson_hyperlegible import ROOT
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from annotate.ids import RowId
from annotate.mark_motion import MarkPath, points_at
from annotate.marks import Mark
from app.marks.layout import (
    Laid,
    Pixel,
    Place,
    Words,
    core_px,
    dash_px,
    dashes,
    laid_out,
    opacity_at,
)
from app.marks.looks import LOOKS, UNDER, bgr

Pixels = NDArray[np.uint8]
Box = tuple[int, int, int, int]
"""Left, top, right and bottom; right and bottom are outside."""

UNDER_OPACITY = 0.92
UNDER_CORES = 2.2
"""Width of the dark stroke, in widths of the light one."""
DIM = 0.68
"""How much a spotlight takes of the light around it."""
_SOFT_CORES = 6.0
_SHIFT = 4
"""Bits of a pixel's fraction that OpenCV draws to."""
_FAR = 1 << 14


def painted(
    array: Pixels,
    marks: Iterable[Mark],
    time_us: int,
    place: Place,
    paths: Mapping[RowId, MarkPath] | None = None,
    *,
    core: float | None = None,
    is_fading: bool = True,
) -> Box | None:
    """Paint marks as they are at a moment.

    Parameters
    ----------
    array : ndarray of uint8, shape (height, width, 3 or 4)
        BGR, or BGRA with its colours multiplied by its alpha; painted upon. An opaque picture
        stays opaque, an empty overlay becomes what is to be laid over the picture.
    marks : iterable of Mark
        Those to be seen, see `app.marks.layout.marks_at`.
    time_us : int
        Case time; says where a following mark is and how strong a fading one.
    place : callable
        From shares of the upright picture to pixels of `array`, see `place_in`.
    paths : mapping of RowId to MarkPath, optional
        Where following marks go.
    core : float, optional
        Width of the light stroke, pixels; by the array's size if left out.
    is_fading : bool
        False where one moment stands for a span, as in a still: nothing fades then.

    Returns
    -------
    tuple of int or None
        The box outside which nothing was changed; None where nothing was.
    """
    height, width = array.shape[:2]
    core = core_px(width, height) if core is None else core
    ways = paths or {}
    laid = [
        laid_out(
            mark,
            points_at(mark, ways.get(mark.id), time_us),
            place,
            core,
            opacity_at(mark, time_us) if is_fading else 1.0,
        )
        for mark in marks
    ]
    lights = [one for one in laid if one.lit is not None]
    if lights:
        _dim(array, lights)
    boxes = [_put(array, one) for one in laid]
    return (0, 0, width, height) if lights else _around([box for box in boxes if box])


def _around(boxes: Sequence[Box]) -> Box | None:
    if not boxes:
        return None
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


# Spotlights


def _dim(array: Pixels, lights: Sequence[Laid]) -> None:
    """Take light from all but the discs; where several are lit, each stays so."""
    shade = np.full(array.shape[:2], 255, np.uint8)
    for one in lights:
        assert one.lit is not None
        (x, y), radius = one.lit
        soft = min(max(one.core_px * _SOFT_CORES, 2.0), max(radius, 2.0))
        reach = radius + soft
        box = _clipped((x - reach, y - reach, x + reach, y + reach), array)
        if box is None:
            continue
        left, top, right, bottom = box
        across = (np.arange(left, right, dtype=np.float32) + 0.5 - np.float32(x)) ** 2
        down = (np.arange(top, bottom, dtype=np.float32) + 0.5 - np.float32(y)) ** 2
        away = cv2.sqrt(down[:, None] + across[None, :])
        share = np.clip((away - np.float32(radius - soft)) / np.float32(2 * soft), 0, 1)
        part = (share * 255).astype(np.uint8)
        into = shade[top:bottom, left:right]
        np.minimum(into, part, out=into)
    opacity = DIM * max(one.opacity for one in lights)
    keep = cv2.convertScaleAbs(shade, alpha=-opacity, beta=255)
    if array.shape[2] == 4 and not array.any():  # an overlay that is still empty
        array[..., 3] = 255 - keep
        return
    cv2.multiply(array, cv2.merge((keep,) * array.shape[2]), dst=array, scale=1 / 255)
    if array.shape[2] == 4:  # what is dark covers what lies beneath
        array[..., 3] = cv2.add(array[..., 3], 255 - keep)


# Strokes and words


def _put(array: Pixels, laid: Laid) -> Box | None:
    """Paint one mark within the box around it."""
    lines = [*laid.strokes, *laid.heads]
    glyphs = _glyphs(laid.words, laid, array.shape) if laid.words else None
    box = _clipped(_reach(lines, laid, glyphs), array)
    if box is None:
        return None
    left, top, right, bottom = box
    under = np.zeros((bottom - top, right - left), np.uint8)
    core = np.zeros_like(under)
    dash = dash_px(laid)
    light = [part for line in laid.strokes for part in dashes(line, dash)]
    _strokes(under, lines, box, laid.core_px * UNDER_CORES)
    _strokes(core, [*light, *laid.heads], box, laid.core_px)
    if glyphs is not None:
        corner, edge, letters = glyphs
        _stamp(under, edge, corner, box)
        _stamp(core, letters, corner, box)
    _blend(array[top:bottom, left:right], under, core, laid)
    return box


def _reach(
    lines: Sequence[Sequence[Pixel]], laid: Laid, glyphs: tuple[Pixel, Pixels, Pixels] | None
) -> tuple[float, float, float, float]:
    margin = laid.core_px * UNDER_CORES / 2 + 2
    xs = [x for line in lines for x, _ in line]
    ys = [y for line in lines for _, y in line]
    if glyphs is not None:
        (x, y), edge, _ = glyphs
        xs += [x, x + edge.shape[1]]
        ys += [y, y + edge.shape[0]]
    if not xs:
        return 0.0, 0.0, 0.0, 0.0
    return min(xs) - margin, min(ys) - margin, max(xs) + margin, max(ys) + margin


def _clipped(reach: tuple[float, float, float, float], array: Pixels) -> Box | None:
    height, width = array.shape[:2]
    if not all(map(math.isfinite, reach)):
        return None
    left, top = max(math.floor(reach[0]), 0), max(math.floor(reach[1]), 0)
    right, bottom = min(math.ceil(reach[2]), width), min(math.ceil(reach[3]), height)
    return (left, top, right, bottom) if left < right and top < bottom else None


def _strokes(mask: Pixels, lines: Iterable[Sequence[Pixel]], box: Box, width: float) -> None:
    """Lines with round ends and corners; their places are pixels of the whole array."""
    corner = np.array([box[0] + 0.5, box[1] + 0.5])  # OpenCV counts from a pixel's middle
    lines = [line for line in lines if line]
    if not lines:
        return
    at = np.array([point for line in lines for point in line]) - corner
    fixed = np.rint(np.clip(at, -_FAR, _FAR) * (1 << _SHIFT)).astype(np.int32)
    parts = np.split(fixed, np.cumsum([len(line) for line in lines])[:-1])
    thick = max(round(width), 1)
    cv2.polylines(mask, parts, False, 255, thick, cv2.LINE_AA, _SHIFT)


def _blend(view: Pixels, under: Pixels, core: Pixels, laid: Laid) -> None:
    """Lay the dark stroke over pixels and the light one upon it, as far as their masks say."""
    spots: Any = cv2.findNonZero(under)
    if spots is None:
        return
    columns, rows = spots.reshape(-1, 2).T
    whole = view.view(np.uint32)[..., 0] if view.shape[2] == 4 else view  # quicker to pick
    there = whole[rows, columns].view(np.uint8).reshape(len(rows), -1).astype(np.float32)
    for mask, colour, opacity in (
        (under, UNDER, laid.opacity * UNDER_OPACITY),
        (core, LOOKS[laid.mark.look].colour, laid.opacity),
    ):
        ink = np.array((*bgr(colour), 255)[: view.shape[2]], np.float32)
        share = mask[rows, columns].astype(np.float32)[:, None] * np.float32(opacity / 255)
        there += (ink - there) * share
    mixed = np.rint(there).astype(np.uint8)
    whole[rows, columns] = mixed.view(np.uint32)[:, 0] if view.shape[2] == 4 else mixed


# Words


def _glyphs(words: Words, laid: Laid, shape: tuple[int, ...]) -> tuple[Pixel, Pixels, Pixels]:
    """Upper left corner, and masks of the letters with their edge and without it.

    Words of a mark within the picture stay within it.
    """
    edge_px = max(round(laid.core_px * 0.9), 2)
    edge, letters, below = written(words.text, words.size_px, edge_px)
    x, y = words.at
    height, width = shape[:2]
    is_inside = 0 <= x < width and -words.size_px <= y < height + 2 * words.size_px
    left = x - edge.shape[1] / 2 if words.is_centred else x - edge_px
    top = y - (edge.shape[0] - below)
    if is_inside:
        left = max(0.0, min(left, width - edge.shape[1]))
        top = max(0.0, min(top, height - edge.shape[0]))
    return (float(round(left)), float(round(top))), edge, letters


@lru_cache(maxsize=64)
def written(text: str, size_px: int, edge_px: int) -> tuple[Pixels, Pixels, int]:
    """Masks of a line of words with a dark edge and without it, and how much is below the base."""
    font = font_of(size_px)
    left, top, right, bottom = font.getbbox(text, anchor="ls", stroke_width=edge_px)
    size = (math.ceil(right) - math.floor(left), math.ceil(bottom) - math.floor(top))
    masks = []
    for stroke in (edge_px, 0):
        sheet = Image.new("L", (max(size[0], 1), max(size[1], 1)), 0)
        at = (-math.floor(left), -math.floor(top))
        ImageDraw.Draw(sheet).text(at, text, 255, font, anchor="ls", stroke_width=stroke)
        masks.append(np.asarray(sheet))
    return masks[0], masks[1], math.ceil(bottom)


@lru_cache(maxsize=8)
def font_of(size_px: int) -> ImageFont.FreeTypeFont:
    """The program's own bold letters."""
    return ImageFont.truetype(ROOT / "files" / "AtkinsonHyperlegible-Bold.ttf", size_px)


def _stamp(mask: Pixels, glyphs: Pixels, corner: Pixel, box: Box) -> None:
    """Put letters into a mask that begins at a box's corner, as far as they are in it."""
    x, y = round(corner[0]) - box[0], round(corner[1]) - box[1]
    height, width = mask.shape
    left, top = max(x, 0), max(y, 0)
    right, bottom = min(x + glyphs.shape[1], width), min(y + glyphs.shape[0], height)
    if left < right and top < bottom:
        into = mask[top:bottom, left:right]
        np.maximum(into, glyphs[top - y : bottom - y, left - x : right - x], out=into)
