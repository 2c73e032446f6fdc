"""The shape of a clip's pictures: as coded, and as shown after turning and with square pixels."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import av
from av.video.stream import VideoStream

_ODDEST_ASPECT = 8


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
    """

    coded_width: int
    coded_height: int
    rotation_deg: int = 0
    sample_aspect: Fraction = Fraction(1)

    @classmethod
    def of(cls, stream: VideoStream, picture: av.VideoFrame) -> PictureShape:
        """Read the shape from a stream and a decoded picture of it."""
        aspect = Fraction(stream.sample_aspect_ratio or 1)
        if not Fraction(1, _ODDEST_ASPECT) <= aspect <= _ODDEST_ASPECT:
            aspect = Fraction(1)  # a slip in the header, not a shape
        # The file states the turn counter-clockwise.
        turn = round(-picture.rotation / 90) % 4 * 90
        return cls(picture.width, picture.height, turn, aspect)

    @property
    def is_turned(self) -> bool:
        """Whether width and height change places."""
        return self.rotation_deg in {90, 270}

    @property
    def shown_size(self) -> tuple[int, int]:
        """Width and height as shown; the coded height stays and the width is stretched."""
        width = max(1, round(self.coded_width * self.sample_aspect))
        return (self.coded_height, width) if self.is_turned else (width, self.coded_height)
