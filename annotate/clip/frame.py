"""One frame of a clip: its number, its time and its picture."""

from __future__ import annotations

from dataclasses import dataclass, field

import av
import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.clip.colour import like, to_bgra, to_rgb
from annotate.clip.planes import has_planes, luma_of, scaled
from annotate.clip.shape import PictureShape

_TURNS = {
    90: cv2.ROTATE_90_CLOCKWISE,
    180: cv2.ROTATE_180,
    270: cv2.ROTATE_90_COUNTERCLOCKWISE,
}


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """A decoded frame; its planes are kept as the codec gave them until they are asked for.

    Attributes
    ----------
    number : int
        Within the clip, from 0.
    time_us : int
        When it is first shown, microseconds from the clip's first frame.
    shape : PictureShape
    is_stand_in : bool
        True if this frame's own packet is damaged and a neighbour's picture is shown instead.
    """

    number: int
    time_us: int
    shape: PictureShape
    picture: av.VideoFrame = field(repr=False)
    is_stand_in: bool = False

    @property
    def shown_size(self) -> tuple[int, int]:
        """Width and height as shown: turned upright, with square pixels."""
        return self.shape.shown_size

    def rgb(self) -> NDArray[np.uint8]:
        """Give the picture as shown: (height, width, 3) RGB, its own array."""
        width, height = self._before_turn(*self.shown_size)
        return self._turned(to_rgb(self.picture, width, height))

    def fitted(self, width: int, height: int) -> NDArray[np.uint8]:
        """Give the picture scaled for a screen: (height, width, 4) BGRA, its own array.

        The caller keeps the aspect, see `shown_size`. Scaling comes before conversion, which is
        quick and a little less exact than `rgb`.

        Raises
        ------
        ValueError
            If width or height is below 1.
        """
        if min(width, height) < 1:
            raise ValueError("a picture has at least one pixel")
        across, down = self._before_turn(width, height)
        picture = self.picture
        if has_planes(picture):
            picture = like(scaled(picture, across, down), picture)
        return self._turned(to_bgra(picture, across, down))

    def luma(self) -> NDArray[np.uint8]:
        """Give the brightness plane in 8 bits and coded orientation, (height, width), for analysis.

        A view for 8-bit planar pictures: never write into it.
        """
        return luma_of(self.picture)

    def _before_turn(self, width: int, height: int) -> tuple[int, int]:
        return (height, width) if self.shape.is_turned else (width, height)

    def _turned(self, pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
        if self.shape.is_mirrored:
            pixels = np.asarray(cv2.flip(pixels, 1), dtype=np.uint8)
        turn = _TURNS.get(self.shape.rotation_deg)
        return pixels if turn is None else np.asarray(cv2.rotate(pixels, turn), dtype=np.uint8)
