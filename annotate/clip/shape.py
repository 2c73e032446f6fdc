"""The shape of a clip's pictures: as coded, and as shown after turning and with square pixels."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import av
import numpy as np
from av.video.stream import VideoStream

_ODDEST_ASPECT = 8
_MATRIX_BYTES = 36


@dataclass(frozen=True, slots=True)
class PictureShape:
    """Size, turn and pixel aspect.

    Attributes
    ----------
    coded_width, coded_height : int
        Of the decoded picture, pixels.
    rotation_deg : int
        Clockwise turn from the coded picture to the shown one: 0, 90, 180 or 270.
    sample_aspect : Fraction
        Width of a coded pixel over its height.
    is_mirrored : bool
        True if left and right of the coded picture change places before it is turned.
    """

    coded_width: int
    coded_height: int
    rotation_deg: int = 0
    sample_aspect: Fraction = Fraction(1)
    is_mirrored: bool = False

    @classmethod
    def of(
        cls, stream: VideoStream, picture: av.VideoFrame, stated_aspect: Fraction | None = None
    ) -> PictureShape:
        """Read the shape from a stream and a decoded picture of it.

        Parameters
        ----------
        stated_aspect : Fraction, optional
            Pixel aspect for a stream that does not say.
        """
        aspect = Fraction(stream.sample_aspect_ratio or stated_aspect or 1)
        if not Fraction(1, _ODDEST_ASPECT) <= aspect <= _ODDEST_ASPECT:
            aspect = Fraction(1)  # a slip in the header, not a shape
        turn, is_mirrored = _way_round(picture)
        return cls(picture.width, picture.height, turn, aspect, is_mirrored)

    @property
    def is_turned(self) -> bool:
        """Whether width and height change places."""
        return self.rotation_deg in {90, 270}

    @property
    def shown_size(self) -> tuple[int, int]:
        """Width and height as shown; the coded height stays and the width is stretched."""
        width = max(1, round(self.coded_width * self.sample_aspect))
        return (self.coded_height, width) if self.is_turned else (width, self.coded_height)


def _way_round(picture: av.VideoFrame) -> tuple[int, bool]:
    """Clockwise turn in degrees, and whether the picture is mirrored before it is turned.

    The file's matrix takes (x, y), y downward, to (a x + c y, b x + d y), in 65536ths.
    """
    # PyAV's own word for the turn leaves the mirror out; its type stubs leave this out.
    side_data: Any = picture.side_data
    try:
        matrix = side_data["DISPLAYMATRIX"]
    except KeyError:
        return 0, False
    if matrix.buffer_size < _MATRIX_BYTES:
        return 0, False
    numbers = np.frombuffer(bytes(matrix), dtype=np.int32, count=9).astype(float)
    a, b, c, d = (float(numbers[place]) for place in (0, 1, 3, 4))
    is_mirrored = a * d - b * c < 0
    sign = -1 if is_mirrored else 1  # mirroring turns the first column's sign round
    return round(math.degrees(math.atan2(sign * b, sign * a)) / 90) % 4 * 90, is_mirrored
