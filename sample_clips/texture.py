"""Smooth random textures and blending, the raw material of every layer."""

from __future__ import annotations

from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

Image = NDArray[np.float32]
Picture = NDArray[np.uint8]


def smooth_noise(
    rng: np.random.Generator, shape: tuple[int, int], cell: tuple[float, float]
) -> Image:
    """Noise of zero mean and unit spread whose grain is `cell` (rows, columns) in size."""
    rows = max(2, round(shape[0] / cell[0]) + 1)
    cols = max(2, round(shape[1] / cell[1]) + 1)
    coarse = rng.standard_normal((rows, cols)).astype(np.float32)
    fine = cv2.resize(coarse, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    return np.asarray((fine - fine.mean()) / (fine.std() + 1e-6), dtype=np.float32)


def ring_noise(
    rng: np.random.Generator, shape: tuple[int, int], cell: tuple[float, float]
) -> Image:
    """Noise like `smooth_noise` whose last column runs on into its first."""
    rows = max(2, round(shape[0] / cell[0]) + 1)
    cols = max(4, round(shape[1] / cell[1]))
    coarse = rng.standard_normal((rows, cols)).astype(np.float32)
    coarse = np.concatenate([coarse[:, -2:], coarse, coarse[:, :2]], axis=1)
    scale = shape[1] / cols
    wide = cv2.resize(coarse, (round((cols + 4) * scale), shape[0]), interpolation=cv2.INTER_CUBIC)
    first = round(2 * scale)
    fine = wide[:, first : first + shape[1]]
    return np.asarray((fine - fine.mean()) / (fine.std() + 1e-6), dtype=np.float32)


def cloud_noise(
    rng: np.random.Generator, shape: tuple[int, int], cell: float, octaves: int = 4
) -> Image:
    """Sum of smooth noises, each half as large in grain and strength as the one before."""
    total = np.zeros(shape, np.float32)
    for octave in range(octaves):
        size = max(cell / 2**octave, 1.0)
        total += smooth_noise(rng, shape, (size, size)) / 2**octave
    return np.asarray(total / (total.std() + 1e-6), dtype=np.float32)


def smooth_step(low: float, high: float, value: Image | float) -> Image:
    """Zero below `low`, one above `high`, a smooth ramp between; `low` > `high` falls."""
    share = np.clip((np.asarray(value, np.float32) - low) / (high - low), 0.0, 1.0)
    return np.asarray(share * share * (3.0 - 2.0 * share), dtype=np.float32)


def blurred(image: Image, sigma: float) -> Image:
    """Blur by a Gaussian, sigma in pixels."""
    return np.asarray(cv2.GaussianBlur(image, (0, 0), sigma), dtype=np.float32)


def sampled(image: Image, columns: Image, rows: Image) -> Image:
    """Values of an image at places between its pixels."""
    return np.asarray(cv2.remap(image, columns, rows, cv2.INTER_LINEAR), dtype=np.float32)


def spread(alpha: Image) -> Image:
    """Repeat a mask (h, w) over three channels; far quicker than broadcasting."""
    return np.asarray(cv2.merge((alpha, alpha, alpha)), dtype=np.float32)


@lru_cache(maxsize=24)
def _plain(shape: tuple[int, ...], colour: tuple[float, ...]) -> Image:
    return np.full(shape, colour, np.float32)


def mix(under: Image, over: Image | tuple[float, float, float], alpha: Image | float) -> Image:
    """Blend `over` onto `under` (h, w, 3) with `alpha` (h, w) or a number."""
    top = _plain(under.shape, over) if isinstance(over, tuple) else np.asarray(over, np.float32)
    if not isinstance(alpha, np.ndarray):
        return np.asarray(under + (top - under) * np.float32(alpha), dtype=np.float32)
    weight = np.broadcast_to(alpha, under.shape[:2]).astype(np.float32)
    return np.asarray(under + (top - under) * spread(weight), dtype=np.float32)


def to_picture(image: Image) -> Picture:
    """Round and clip to eight bits."""
    return np.clip(image + 0.5, 0, 255).astype(np.uint8)
