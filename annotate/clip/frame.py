"""One frame of a clip: its number, its time and its picture."""

from __future__ import annotations

from dataclasses import dataclass, field

import av
import numpy as np
from numpy.typing import NDArray

from annotate.clip.colour import to_rgb
from annotate.clip.planes import luma_of
from annotate.clip.presenting import bgra_of, toned
from annotate.clip.shape import PictureShape
from annotate.clip.showing import NEUTRAL, Framing, Tone
from annotate.clip.way_round import WayRound


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
        way = WayRound.of(self.shape)
        return way.applied(to_rgb(self.picture, *way.size_before(*self.shown_size)))

    def framed(
        self, framing: Framing, tone: Tone = NEUTRAL, into: NDArray[np.uint8] | None = None
    ) -> NDArray[np.uint8]:
        """Give the picture as a screen shows it: (height, width, 4) BGRA.

        The part asked for is cut exactly; what lies outside the picture is black.

        Parameters
        ----------
        framing : Framing
            Part, way round and size. 0 by 0 is the part's own size.
        tone : Tone
        into : ndarray of uint8, shape (height, width, 4), optional
            Filled and returned, such as a view of memory shared with another process; its own
            array if left out.

        Raises
        ------
        ValueError
            If width, height or the part is empty, or `into` is of another shape.
        """
        width, height = self.framed_size(framing)
        if into is not None and into.shape != (height, width, 4):
            raise ValueError(f"an array of {into.shape} cannot take {height} by {width} pixels")
        way = WayRound.of(self.shape, framing)
        across, down = way.size_before(width, height)
        is_last = way == WayRound() and tone.is_neutral
        region = way.region_before(framing.region)
        pixels = bgra_of(self.picture, region, across, down, into if is_last else None)
        pixels = way.applied(pixels, into if tone.is_neutral else None)
        pixels = toned(pixels, tone, into)
        if into is None:
            return np.ascontiguousarray(pixels)
        if pixels is not into:
            np.copyto(into, pixels)
        return into

    def framed_size(self, framing: Framing) -> tuple[int, int]:
        """Width and height that a framing comes out at, pixels.

        Raises
        ------
        ValueError
            If one of them, or the part, is empty.
        """
        width, height = framing.width, framing.height
        part = framing.region[2:]
        if min(part) <= 0:
            raise ValueError("a part of a picture is not empty")
        if width == height == 0:
            own = WayRound(turn_deg=framing.turn_deg % 360).size_before(*self.shown_size)
            width, height = (max(1, round(n * share)) for n, share in zip(own, part, strict=True))
        if min(width, height) < 1:
            raise ValueError("a picture has at least one pixel")
        return width, height

    def fitted(self, width: int, height: int) -> NDArray[np.uint8]:
        """Give the whole picture scaled for a screen: (height, width, 4) BGRA, its own array.

        The caller keeps the aspect, see `shown_size`.

        Raises
        ------
        ValueError
            If width or height is below 1.
        """
        if min(width, height) < 1:
            raise ValueError("a picture has at least one pixel")
        return self.framed(Framing(width, height))

    def luma(self) -> NDArray[np.uint8]:
        """Give the brightness plane in 8 bits and coded orientation, (height, width), for analysis.

        A view for 8-bit planar pictures: never write into it.
        """
        return luma_of(self.picture)
