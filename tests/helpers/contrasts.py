"""Contrast of two colours, by the standard."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def linear(colour: str) -> NDArray[np.float64]:
    """Linear RGB of an sRGB colour (IEC 61966-2-1)."""
    c = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def contrast(a: str, b: str) -> float:
    """Contrast ratio (WCAG 2.2, relative luminance)."""
    weights = np.array([0.2126, 0.7152, 0.0722])
    high, low = sorted((float(linear(a) @ weights), float(linear(b) @ weights)), reverse=True)
    return (high + 0.05) / (low + 0.05)
