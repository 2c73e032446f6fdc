"""From decoded planes to RGB, with a matrix and a range that are stated here and never guessed.

What a clip says of its colours is believed. One that says nothing is read as ITU-R BT.709 from 720
lines on and as BT.601 below, in limited range unless its format is a full-range one. Motion JPEG
is BT.601 in full range at any size, as the JPEG file interchange format lays down.
"""

from __future__ import annotations

import threading
from typing import Literal

import av
import numpy as np
from av.video.reformatter import ColorRange, Colorspace, Interpolation, VideoReformatter
from numpy.typing import NDArray

HD_LINES = 720
Matrix = Literal["bt709", "bt601", "smpte240m", "fcc", "bt2020"]

_TAGGED: dict[int, Matrix] = {
    1: "bt709", 4: "fcc", 5: "bt601", 6: "bt601", 7: "smpte240m", 9: "bt2020", 10: "bt2020",
}  # fmt: skip
_SWS: dict[Matrix, Colorspace] = {
    "bt709": Colorspace.ITU709,
    "bt601": Colorspace.ITU601,
    "smpte240m": Colorspace.SMPTE240M,
    "fcc": Colorspace.FCC,
    "bt2020": Colorspace.BT2020,
}
_EXACT = Interpolation.ACCURATE_RND | Interpolation.FULL_CHR_H_INT
"""Smooth chroma and exact rounding, at some twenty times the cost of the quick way."""

_FULL_RANGE_TAG = 2
_of_thread = threading.local()


def matrix_of(picture: av.VideoFrame) -> Matrix:
    """Matrix with which a picture's luma and chroma become RGB."""
    untagged: Matrix = "bt709" if picture.height >= HD_LINES else "bt601"
    return _TAGGED.get(int(picture.colorspace), untagged)


def is_full_range(picture: av.VideoFrame) -> bool:
    """Whether black is 0 and white the greatest value, rather than 16 and 235 of 255."""
    return picture.format.name.startswith("yuvj") or int(picture.color_range) == _FULL_RANGE_TAG


def to_rgb(picture: av.VideoFrame, width: int, height: int) -> NDArray[np.uint8]:
    """Convert a picture to RGB of a given size: (height, width, 3), its own array."""
    pixels = _converted(picture, width, height, "rgb24", Interpolation.BICUBIC | _EXACT)
    return np.ascontiguousarray(pixels)


def to_bgra(picture: av.VideoFrame, width: int, height: int) -> NDArray[np.uint8]:
    """Convert a picture to BGRA of a given size: (height, width, 4), its own array.

    Quick where the size is the picture's own and its planes are bytes. Rows may be padded.
    """
    is_quick = (picture.width, picture.height) == (width, height) and _has_byte_planes(picture)
    scaling = Interpolation.AREA if is_quick else Interpolation.AREA | _EXACT
    return _converted(picture, width, height, "bgra", scaling)


def like(picture: av.VideoFrame, source: av.VideoFrame) -> av.VideoFrame:
    """Give `picture` the matrix and range with which `source` is read; return it."""
    if picture is source:
        return picture
    picture.colorspace = int(_SWS[matrix_of(source)])
    picture.color_range = int(ColorRange.JPEG if is_full_range(source) else ColorRange.MPEG)
    return picture


def _has_byte_planes(picture: av.VideoFrame) -> bool:
    return len(picture.planes) == 3 and picture.format.components[0].bits == 8


def _converted(
    picture: av.VideoFrame, width: int, height: int, layout: str, scaling: Interpolation
) -> NDArray[np.uint8]:
    matrix, n_channels = _SWS[matrix_of(picture)], len(layout.rstrip("24"))
    done = _reformatter().reformat(
        picture,
        width,
        height,
        format=layout,
        src_colorspace=matrix,
        dst_colorspace=matrix,
        interpolation=scaling,
        src_color_range=ColorRange.JPEG if is_full_range(picture) else ColorRange.MPEG,
        dst_color_range=ColorRange.JPEG,
        threads=1,
    )
    plane = done.planes[0]
    rows: NDArray[np.uint8] = np.frombuffer(memoryview(plane), dtype=np.uint8)
    rows = rows.reshape(-1, plane.line_size)[:height]
    return rows[:, : width * n_channels].reshape(height, width, n_channels)


def _reformatter() -> VideoReformatter:
    """One a thread, so that its tables are made once."""
    if not hasattr(_of_thread, "reformatter"):
        _of_thread.reformatter = VideoReformatter()
    found: VideoReformatter = _of_thread.reformatter
    return found
