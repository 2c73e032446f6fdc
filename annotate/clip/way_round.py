"""Which way round pixels come: mirrored or not, then turned by quarters."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.clip.shape import PictureShape
from annotate.clip.showing import Framing, Region

_TURNS = {
    90: cv2.ROTATE_90_CLOCKWISE,
    180: cv2.ROTATE_180,
    270: cv2.ROTATE_90_COUNTERCLOCKWISE,
}


@dataclass(frozen=True, slots=True)
class WayRound:
    """From the coded picture to what is seen.

    Attributes
    ----------
    is_mirrored : bool
        Whether left and right change places first.
    turn_deg : int
        Clockwise turn after that: 0, 90, 180 or 270.
    """

    is_mirrored: bool = False
    turn_deg: int = 0

    @classmethod
    def of(cls, shape: PictureShape, framing: Framing | None = None) -> WayRound:
        """Both the clip's own way and the viewer's on top of it."""
        turn, is_mirrored = shape.rotation_deg, shape.is_mirrored
        if framing is not None:
            turn += framing.turn_deg
            if framing.is_mirrored:  # after turning: as mirroring before, and turning back
                turn, is_mirrored = -turn, not is_mirrored
        return cls(is_mirrored, turn % 360)

    def size_before(self, width: int, height: int) -> tuple[int, int]:
        """Width and height in the coded picture of what is so large when seen, and back."""
        return (height, width) if self.turn_deg in {90, 270} else (width, height)

    def region_before(self, region: Region) -> Region:
        """Where a region lies in the coded picture; both in shares."""
        left, top, width, height = region
        for _ in range(self.turn_deg // 90):
            left, top, width, height = top, 1 - left - width, height, width
        if self.is_mirrored:
            left = 1 - left - width
        return left, top, width, height

    def applied(
        self, pixels: NDArray[np.uint8], into: NDArray[np.uint8] | None = None
    ) -> NDArray[np.uint8]:
        """Bring coded pixels round; themselves if nothing changes."""
        turn = _TURNS.get(self.turn_deg)
        if self.is_mirrored:
            pixels = np.asarray(cv2.flip(pixels, 1, dst=into if turn is None else None))
        return pixels if turn is None else np.asarray(cv2.rotate(pixels, turn, dst=into))
