"""Find the limbus in a picture, near a place: independent of how the picture was rendered."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray


def grey(picture: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Lightness of a picture (blue, green, red)."""
    return cv2.cvtColor(picture, cv2.COLOR_BGR2GRAY).astype(np.float32)


def values(picture: NDArray[np.float32], x: NDArray, y: NDArray) -> NDArray[np.float32]:
    return cv2.remap(picture, x.astype(np.float32), y.astype(np.float32), cv2.INTER_LINEAR)


def steepest(picture: NDArray[np.float32], centre: NDArray, radius: float) -> NDArray:
    """Places (x, y) of the steepest rise from dark to light near a circle, one a degree."""
    angles = np.radians(np.arange(0, 360, 1.0))
    radii = np.arange(radius - 22, radius + 22, 0.5)
    x = centre[0] + np.outer(np.cos(angles), radii)
    y = centre[1] + np.outer(np.sin(angles), radii)
    rise = np.diff(cv2.GaussianBlur(values(picture, x, y), (0, 0), 5.0), axis=1)
    at = radii[rise.argmax(axis=1)] + 0.25
    return np.stack([centre[0] + np.cos(angles) * at, centre[1] + np.sin(angles) * at], axis=1)


def fitted_circle(points: NDArray) -> tuple[float, float, float]:
    """Algebraic circle fit (Kasa), refitted without the worst fifth."""
    for _ in range(2):
        design = np.column_stack([2 * points, np.ones(len(points))])
        cx, cy, c = np.linalg.lstsq(design, (points**2).sum(axis=1), rcond=None)[0]
        radius = float(np.sqrt(c + cx**2 + cy**2))
        error = np.abs(np.hypot(points[:, 0] - cx, points[:, 1] - cy) - radius)
        points = points[error <= np.quantile(error, 0.8)]
    return float(cx), float(cy), radius
