"""What lies around the eye: lid margins, sterile drape and the wire speculum."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from sample_clips.geometry import BASE_PX_PER_MM
from sample_clips.texture import (
    Image,
    Picture,
    cloud_noise,
    mix,
    smooth_noise,
    smooth_step,
    to_picture,
)

WIDTH_MM, HEIGHT_MM = 44.0, 30.0


@dataclass(frozen=True, slots=True)
class Surround:
    """The layer over the eye.

    Attributes
    ----------
    colour : Picture
        Blue, green, red, already multiplied by how much they cover, shape (h, w, 3).
    see_through : Picture
        How much of the eye is seen through, 0 to 255, shape (h, w, 3).
    """

    colour: Picture
    see_through: Picture


def _grid() -> tuple[Image, Image]:
    rows, cols = round(HEIGHT_MM * BASE_PX_PER_MM), round(WIDTH_MM * BASE_PX_PER_MM)
    x = (np.arange(cols, dtype=np.float32) + 0.5 - cols / 2) / BASE_PX_PER_MM
    y = (np.arange(rows, dtype=np.float32) + 0.5 - rows / 2) / BASE_PX_PER_MM
    grid_x, grid_y = np.meshgrid(x, y)
    return grid_x.astype(np.float32), grid_y.astype(np.float32)


def _beyond_margin(x: Image, y: Image) -> Image:
    """Rough distance (mm) beyond the opening between the lids; negative inside it."""
    power = 2.3
    level = (np.abs(x / 16.2) ** power + np.abs(y / 7.75) ** power) ** (1 / power)
    return np.asarray((level - 1.0) * 7.75, np.float32)


def make_surround(rng: np.random.Generator) -> Surround:
    """Draw lids, drape and speculum once."""
    x, y = _grid()
    shape = (x.shape[0], x.shape[1])
    beyond = _beyond_margin(x, y) + 0.10 * smooth_noise(rng, shape, (70, 90))
    picture = _lids(rng, beyond, shape)
    cover = smooth_step(-0.06, 0.06, beyond)
    shadow = 0.55 * smooth_step(-1.1, 0.0, beyond) * (1 - cover)
    wire_mask = np.zeros(shape, np.float32)
    for sign in (-1.0, 1.0):
        _draw_blade(picture, wire_mask, shadow, sign)
    cover = np.maximum(cover, np.minimum(wire_mask, 1.0))
    shadow *= 1 - cover
    see = 1.0 - np.clip(cover + shadow, 0, 1)
    colour = to_picture(picture * cover[..., None])
    return Surround(colour, to_picture(np.repeat(see[..., None] * 255, 3, axis=2)))


def _lids(rng: np.random.Generator, beyond: Image, shape: tuple[int, int]) -> Image:
    """Moist lid margin, skin, and the drape from 1.3 mm outwards."""
    grain = cloud_noise(rng, shape, 40)
    picture = np.empty((*shape, 3), np.float32)
    picture[:] = (110, 118, 182)
    picture *= (1.0 + 0.05 * grain)[..., None]
    rim = np.exp(-(((beyond - 0.28) / 0.12) ** 2)) * np.clip(0.35 + 0.3 * grain, 0, 1)
    picture = mix(picture, (225, 225, 240), 0.6 * rim)
    picture = mix(picture, (84, 92, 140), smooth_step(0.7, 1.2, beyond) * 0.6)
    folds = cloud_noise(rng, shape, 120, 3)
    drape = np.empty_like(picture)
    drape[:] = (118, 98, 44)
    drape *= (0.72 + 0.16 * folds)[..., None]
    ridge = smooth_step(0.10, 0.0, np.abs(folds)) * smooth_step(0.2, 1.4, grain)
    drape = mix(drape, (235, 228, 205), 0.4 * ridge)
    return mix(picture, drape, smooth_step(1.15, 1.4, beyond))


def _blade_path(sign: float) -> np.ndarray:
    """Middle line of one wire blade, x and y in mm; `sign` -1 is the upper lid."""
    corners = np.array(
        [(17, 9.9), (10, 9.6), (6.6, 9.2), (6.0, 8.2), (5.6, 7.35), (4.6, 7.0), (2, 7.05),
         (-2, 7.05), (-4.6, 7.0), (-5.6, 7.35), (-6.0, 8.2), (-6.6, 9.2), (-7.5, 9.8)],
    )  # fmt: skip
    points = corners * np.array([1.0, sign])
    for _ in range(4):  # corner cutting makes it round
        a, b = points[:-1], points[1:]
        points = np.stack([0.75 * a + 0.25 * b, 0.25 * a + 0.75 * b], axis=1).reshape(-1, 2)
    return points


def _draw_blade(picture: Image, mask: Image, shadow: Image, sign: float) -> None:
    """Draw a bright round wire and its shadow."""
    rows, cols = mask.shape
    path = _blade_path(sign) * BASE_PX_PER_MM + np.array([cols / 2, rows / 2])

    def line(target: Image, shift: tuple[float, float], colour: object, width: float) -> None:
        fixed = np.round((path + np.array(shift)) * 16).astype(np.int32).reshape(-1, 1, 2)
        cv2.polylines(target, [fixed], False, colour, round(width), cv2.LINE_AA, 4)  # type: ignore[call-overload]

    dark = np.zeros_like(mask)
    line(dark, (5, 8), 1.0, 19)
    shadow[:] = np.maximum(shadow, 0.45 * cv2.GaussianBlur(dark, (0, 0), 5))
    line(picture, (0, 0), (58, 57, 56), 18)
    line(picture, (-1, -1.5), (110, 108, 106), 14)
    line(picture, (-1.5, -2.5), (160, 158, 156), 8)
    line(picture, (-2.5, -3.5), (240, 240, 240), 3)
    line(mask, (0, 0), 1.0, 18)
