"""What of the eye never changes but in place: white of the eye with vessels, limbus, iris."""

from __future__ import annotations

import cv2
import numpy as np

from sample_clips.geometry import CANVAS_PX_PER_MM, LIMBUS_R
from sample_clips.texture import (
    Image,
    Picture,
    blurred,
    cloud_noise,
    mix,
    ring_noise,
    sampled,
    smooth_noise,
    smooth_step,
    to_picture,
)

CANVAS_W_MM, CANVAS_H_MM = 42.0, 28.0
Colour = tuple[float, float, float]

# Blue, green, red of the deep and the raised fibres and of the ring about the pupil.
IRIS_COLOURS: dict[str, tuple[Colour, Colour, Colour]] = {
    "brown": ((20, 36, 58), (48, 84, 124), (40, 78, 122)),
    "blue": ((84, 78, 62), (168, 158, 138), (118, 140, 148)),
    "hazel": ((34, 52, 62), (84, 118, 130), (48, 92, 138)),
    "dark": ((14, 22, 36), (32, 50, 78), (28, 46, 76)),
}


def canvas_size() -> tuple[int, int]:
    """Rows and columns of the eye's canvas."""
    return round(CANVAS_H_MM * CANVAS_PX_PER_MM), round(CANVAS_W_MM * CANVAS_PX_PER_MM)


def polar_grid(half_mm: float) -> tuple[Image, Image]:
    """Radius (mm) and angle (radians, 0 to 2 pi) of each pixel of a square about the centre."""
    n = round(2 * half_mm * CANVAS_PX_PER_MM)
    axis = (np.arange(n, dtype=np.float32) + 0.5) / CANVAS_PX_PER_MM - half_mm
    x, y = np.meshgrid(axis, axis)
    angle = np.mod(np.arctan2(y, x), 2 * np.pi)
    return np.hypot(x, y).astype(np.float32), angle.astype(np.float32)


def _walk(
    rng: np.random.Generator, start: tuple[float, float], end_r: float, wander: float
) -> np.ndarray:
    """Wandering way (angle, radius) from the rim to the limbus as x, y in mm."""
    angle, radius = start
    points, turn = [], 0.0
    while radius > end_r:
        points.append((radius * np.cos(angle), radius * np.sin(angle)))
        turn = 0.88 * turn + wander * float(rng.standard_normal())
        radius -= 0.16 + 0.06 * float(rng.random())
        angle += turn * 0.02
    return np.array(points, dtype=np.float32)


def _draw_way(mask: Image, way_mm: np.ndarray, widths: tuple[float, float], depth: float) -> None:
    """Draw a vessel that thins along its way."""
    if len(way_mm) < 3:
        return
    rows, cols = mask.shape
    points = way_mm * CANVAS_PX_PER_MM + np.array([cols / 2, rows / 2], np.float32)
    fixed = np.round(points * 16).astype(np.int32)
    pieces = 6
    for k in range(pieces):
        part = fixed[k * len(fixed) // pieces : (k + 1) * len(fixed) // pieces + 1]
        width = max(1, round(widths[0] + (widths[1] - widths[0]) * k / pieces))
        fade = depth * (1.0 - 0.5 * k / pieces)
        cv2.polylines(mask, [part.reshape(-1, 1, 2)], False, fade, width, cv2.LINE_AA, 4)


def _vessels(rng: np.random.Generator, shape: tuple[int, int]) -> tuple[Image, Image]:
    """Masks of the superficial (sharp) and the deep (soft) vessels."""
    near, deep = np.zeros(shape, np.float32), np.zeros(shape, np.float32)
    for _ in range(70):
        start = (float(rng.uniform(0, 2 * np.pi)), float(rng.uniform(11, 20)))
        way = _walk(rng, start, float(rng.uniform(6.2, 9.0)), float(rng.uniform(0.4, 1.5)))
        _draw_way(near, way, (float(rng.uniform(1.5, 4.2)), 1), float(rng.uniform(0.25, 0.75)))
        for _ in range(3):
            if len(way) > 12:
                x, y = way[rng.integers(4, len(way) - 6)]
                twig = (float(np.arctan2(y, x) + rng.normal(0, 0.01)), float(np.hypot(x, y)))
                branch = _walk(rng, twig, float(rng.uniform(6.1, 8.5)), 2.4)
                _draw_way(near, branch, (1.6, 1), float(rng.uniform(0.15, 0.45)))
    for _ in range(260):  # the fine net at the limbus
        start = (float(rng.uniform(0, 2 * np.pi)), float(rng.uniform(6.3, 7.4)))
        way = _walk(rng, start, 5.95, 3.0)
        _draw_way(near, way, (1, 1), float(rng.uniform(0.08, 0.28)))
    for _ in range(22):
        start = (float(rng.uniform(0, 2 * np.pi)), float(rng.uniform(10, 20)))
        _draw_way(deep, _walk(rng, start, 7.0, 0.8), (9, 4), float(rng.uniform(0.2, 0.5)))
    return blurred(near, 0.8), blurred(deep, 4.0)


def eye_canvas(rng: np.random.Generator) -> Picture:
    """White of the eye out to the canvas's rim, limbus and the cornea's edge, iris left plain."""
    rows, cols = canvas_size()
    x = (np.arange(cols, dtype=np.float32) + 0.5 - cols / 2) / CANVAS_PX_PER_MM
    y = (np.arange(rows, dtype=np.float32) + 0.5 - rows / 2) / CANVAS_PX_PER_MM
    radius = np.hypot(x[None, :], y[:, None])
    base = np.empty((rows, cols, 3), np.float32)
    base[:] = (186, 201, 216)
    mottle = cloud_noise(rng, (rows, cols), 150)
    far = smooth_step(7.0, 17.0, radius)
    base = mix(base, (120, 128, 186), np.clip(0.10 + 0.07 * mottle + 0.42 * far, 0, 0.8))
    base *= (1.0 + 0.035 * cloud_noise(rng, (rows, cols), 26))[..., None]
    near, deep = _vessels(rng, (rows, cols))
    base = mix(base, (132, 112, 150), np.clip(deep, 0, 1) * 0.55)
    base = mix(base, (48, 44, 158), np.clip(near, 0, 1) * 0.8)
    base *= (1.0 - 0.34 * smooth_step(6.5, 19.0, radius))[..., None]
    base = mix(base, (255, 255, 255), _wet_glints(rng, (rows, cols), radius))
    ring = smooth_step(LIMBUS_R + 0.62, LIMBUS_R - 0.2, radius)
    base = mix(base, (126, 122, 116), 0.62 * ring)
    return to_picture(base)


def _wet_glints(rng: np.random.Generator, shape: tuple[int, int], radius: Image) -> Image:
    """Small bright places where the wet surface catches the light."""
    specks = smooth_step(1.7, 2.6, smooth_noise(rng, shape, (5, 10)))
    patches = smooth_step(1.0, 2.0, cloud_noise(rng, shape, 150, 2))
    glint = specks * patches * smooth_step(LIMBUS_R + 0.5, LIMBUS_R + 1.4, radius)
    return np.asarray(cv2.GaussianBlur(glint, (0, 0), 1.0) * 0.75, dtype=np.float32)


class Iris:
    """The iris: one unrolled texture, rolled up about a pupil of any size."""

    def __init__(self, rng: np.random.Generator, colours: str, half_mm: float) -> None:
        self._texture = self._unrolled(rng, IRIS_COLOURS[colours])
        self._radius, angle = polar_grid(half_mm)
        self._columns = np.asarray(angle * (2048 / (2 * np.pi)) + 32, np.float32)
        self._kept: dict[int, Image] = {}

    @staticmethod
    def _unrolled(rng: np.random.Generator, colours: tuple[Colour, Colour, Colour]) -> Image:
        """Texture of shape (256, 2112, 3): rows from pupil to limbus, columns round the eye."""
        shape = (256, 2048)
        fibres = sum(
            ring_noise(rng, shape, (130 / k**0.7, 30 / k)) / k**0.12 for k in (1.0, 2.5, 5.0, 9.0)
        )
        furrows = ring_noise(rng, shape, (14, 300))
        u = np.linspace(0, 1, 256, dtype=np.float32)[:, None]
        zigzag = 0.30 + 0.05 * ring_noise(rng, (1, 2048), (1, 30))
        light = 0.42 + 0.15 * np.asarray(fibres, np.float32) + 0.06 * furrows
        light += 0.22 * np.exp(-(((u - zigzag) / 0.06) ** 2))
        crypts = smooth_step(1.1, 1.9, ring_noise(rng, shape, (60, 30)))
        light -= 0.5 * crypts * smooth_step(0.25, 0.5, u)
        light = np.clip(light, 0, 1)
        base = mix(np.full((*shape, 3), colours[0], np.float32), colours[1], light)
        base = mix(base, colours[2], 0.5 * smooth_step(0.5, 0.1, u) * np.ones(shape, np.float32))
        base *= (1.0 - 0.45 * smooth_step(0.82, 1.0, u))[..., None]
        base = mix(base, (22, 26, 36), smooth_step(0.035, 0.0, u) * np.ones(shape, np.float32))
        return np.concatenate([base[:, -32:], base, base[:, :32]], axis=1)

    def picture(self, pupil_r_mm: float, under: Image) -> Image:
        """Iris over `under` for a pupil's radius; kept in steps of 0.02 mm."""
        step = round(pupil_r_mm * 50)
        if step not in self._kept:
            self._kept[step] = self._rolled(step / 50, under)
        return self._kept[step]

    def _rolled(self, pupil_r_mm: float, under: Image) -> Image:
        share = (self._radius - pupil_r_mm) / (LIMBUS_R - 0.12 - pupil_r_mm)
        rows = np.clip(share, 0, 1).astype(np.float32) * 255
        rolled = sampled(self._texture, self._columns, rows)
        rolled = mix(rolled, (150, 140, 130), 0.07)  # the cornea's faint veil
        edge = smooth_step(LIMBUS_R + 0.23, LIMBUS_R - 0.29, self._radius)
        return mix(under, rolled, edge)
