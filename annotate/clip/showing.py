"""How a picture is brought to a screen: which part of it, which way round, in which tone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Region = tuple[float, float, float, float]
WHOLE: Region = (0.0, 0.0, 1.0, 1.0)


@dataclass(frozen=True, slots=True)
class Framing:
    """Which part of a picture is shown, which way round and how large.

    Attributes
    ----------
    width, height : int
        Pixels to make; the caller keeps the shape. 0 by 0 is the picture's own size.
    region : tuple of float
        Left, top, width and height of the part shown, in shares of the picture as turned and
        mirrored here.
    turn_deg : int
        Clockwise turn beyond the clip's own: 0, 90, 180 or 270.
    is_mirrored : bool
        Whether left and right change places, after turning.
    """

    width: int = 0
    height: int = 0
    region: Region = WHOLE
    turn_deg: int = 0
    is_mirrored: bool = False

    def to_view(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the upright picture lies in what is shown; both in shares."""
        for _ in range(self.turn_deg // 90 % 4):
            x, y = 1 - y, x
        if self.is_mirrored:
            x = 1 - x
        left, top, width, height = self.region
        return (x - left) / width, (y - top) / height

    def to_picture(self, x: float, y: float) -> tuple[float, float]:
        """The inverse of `to_view`."""
        left, top, width, height = self.region
        x, y = left + x * width, top + y * height
        if self.is_mirrored:
            x = 1 - x
        for _ in range(self.turn_deg // 90 % 4):
            x, y = y, 1 - x
        return x, y


@dataclass(frozen=True, slots=True)
class Tone:
    """Brightness, contrast and gamma of what is shown; nothing stored is changed by it.

    Attributes
    ----------
    brightness : float
        Added, in shares of the full scale, -1 to 1.
    contrast : float
        Factor around the middle of the scale.
    gamma : float
        Above 1 the dark parts become brighter.
    """

    brightness: float = 0.0
    contrast: float = 1.0
    gamma: float = 1.0

    @property
    def is_neutral(self) -> bool:
        """Whether nothing changes."""
        return self == NEUTRAL

    def table(self) -> NDArray[np.uint8]:
        """What each of the 256 levels becomes."""
        level = np.arange(256) / 255
        moved = np.clip((level - 0.5) * self.contrast + 0.5 + self.brightness, 0, 1)
        return np.rint(255 * moved ** (1 / self.gamma)).astype(np.uint8)


NEUTRAL = Tone()
AS_FILMED = Framing()
"""The whole picture in its own size."""
