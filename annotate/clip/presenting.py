"""A decoded picture as a screen shows it: a part of it, some way round, scaled, in BGRA.

Parts are cut exactly, to fractions of a pixel, so that a mark drawn at a share of the picture lies
on the same tissue at every zoom. What is made smaller is made smaller in the planes, before the
costlier conversion; what is made larger is converted first.
"""

from __future__ import annotations

import math
from functools import lru_cache

import av
import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.clip.colour import like, to_bgra
from annotate.clip.planes import Box, chroma_step, has_planes, scaled
from annotate.clip.showing import WHOLE, Region, Tone

_MARGIN = 2
"""Pixels around a part that scaling looks at."""

_OUTSIDE = (0, 0, 0, 255)
_NEARLY = 1e-6
"""Of a pixel: what is nearer than this to a whole number is one."""

Pixels = NDArray[np.uint8]


def bgra_of(
    picture: av.VideoFrame, region: Region, width: int, height: int, into: Pixels | None = None
) -> Pixels:
    """Convert a part of a picture, in shares of it, to BGRA of a given size, as coded.

    Returns
    -------
    ndarray of uint8, shape (height, width, 4)
        `into` if it was of use, else an array of its own; black outside the picture.
    """
    if region == WHOLE:
        return _whole(picture, width, height)
    left, top = region[0] * picture.width, region[1] * picture.height
    across, down = region[2] * picture.width / width, region[3] * picture.height / height
    step = chroma_step(picture) if has_planes(picture) else (1, 1)
    x0, x1 = _span(left, across * width, picture.width, step[0], max(1, across))
    y0, y1 = _span(top, down * height, picture.height, step[1], max(1, down))
    if x0 >= x1 or y0 >= y1:
        return _black(width, height)
    wide = max(1, round((x1 - x0) / max(1, across)))
    high = max(1, round((y1 - y0) / max(1, down)))
    pixels = _part(picture, (x0, y0, x1, y1), wide, high)
    per_x, per_y = wide / (x1 - x0), high / (y1 - y0)
    move_x = (left - x0 + across / 2) * per_x - 0.5
    move_y = (top - y0 + down / 2) * per_y - 0.5
    return _sampled(pixels, (across * per_x, move_x), (down * per_y, move_y), (width, height), into)


def toned(pixels: Pixels, tone: Tone, into: Pixels | None = None) -> Pixels:
    """Change brightness, contrast and gamma of BGRA pixels; themselves if the tone is neutral."""
    if tone.is_neutral:
        return pixels
    return np.asarray(cv2.LUT(pixels, _table(tone), dst=into))


@lru_cache(maxsize=8)
def _table(tone: Tone) -> Pixels:
    """One row of 256 levels for blue, green, red and alpha."""
    levels = tone.table()
    return np.stack([levels, levels, levels, np.arange(256, dtype=np.uint8)], axis=1)[None]


def _whole(picture: av.VideoFrame, width: int, height: int) -> Pixels:
    if not has_planes(picture):
        return to_bgra(picture, width, height)
    made = like(scaled(picture, width, height), picture)
    return to_bgra(made, made.width, made.height)[:height, :width]


def _span(start: float, length: float, end: int, step: int, reach: float) -> tuple[int, int]:
    """Whole pixels that a part needs along one side, within the picture, on chroma samples."""
    margin = math.ceil(_MARGIN * reach)
    low = max(0, (math.floor(start) - margin) // step * step)
    high = -(-(math.ceil(start + length) + margin) // step) * step
    return low, min(end, high)


def _part(picture: av.VideoFrame, box: Box, width: int, height: int) -> Pixels:
    if has_planes(picture):
        made = like(scaled(picture, width, height, box), picture)
        return to_bgra(made, made.width, made.height)[:height, :width]
    whole = to_bgra(picture, picture.width, picture.height)
    part = whole[box[1] : box[3], box[0] : box[2]]
    if part.shape[:2] == (height, width):
        return part
    return np.asarray(cv2.resize(part, (width, height), interpolation=cv2.INTER_AREA))


def _sampled(
    pixels: Pixels,
    along_x: tuple[float, float],
    along_y: tuple[float, float],
    size: tuple[int, int],
    into: Pixels | None,
) -> Pixels:
    """Sample pixels at a step and from a place along either side, both in pixels."""
    (step_x, from_x), (step_y, from_y) = along_x, along_y
    width, height = size
    at_x, at_y = round(from_x), round(from_y)
    off = max(
        abs(step_x - 1) * width, abs(step_y - 1) * height, abs(from_x - at_x), abs(from_y - at_y)
    )
    is_inside = at_x >= 0 <= at_y and at_x + width <= pixels.shape[1]
    if off < _NEARLY and is_inside and at_y + height <= pixels.shape[0]:
        return pixels[at_y : at_y + height, at_x : at_x + width]
    matrix = np.array([[step_x, 0, from_x], [0, step_y, from_y]])
    edges = cv2.BORDER_REPLICATE
    last_x, last_y = from_x + step_x * (width - 1), from_y + step_y * (height - 1)
    if min(from_x, from_y) < -1 or last_x > pixels.shape[1] or last_y > pixels.shape[0]:
        edges = cv2.BORDER_CONSTANT
    return np.asarray(
        cv2.warpAffine(
            pixels,
            matrix,
            size,
            dst=into,
            flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
            borderMode=edges,
            borderValue=_OUTSIDE,
        )
    )


def _black(width: int, height: int) -> Pixels:
    return np.full((height, width, 4), np.array(_OUTSIDE, dtype=np.uint8))
