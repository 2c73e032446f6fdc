"""Decoded planes as arrays, and shrinking them before the costlier conversion to RGB."""

from __future__ import annotations

import av
import cv2
import numpy as np
from numpy.typing import NDArray

_SUBSAMPLING = {
    "yuv420p": (2, 2), "yuvj420p": (2, 2), "yuv422p": (2, 1), "yuvj422p": (2, 1),
    "yuv444p": (1, 1), "yuvj444p": (1, 1),
}  # fmt: skip
"""Formats of three 8-bit planes, and by how much their chroma is shrunk across and down."""


def is_planar_8_bit(picture: av.VideoFrame) -> bool:
    """Whether the planes can be scaled one by one."""
    return picture.format.name in _SUBSAMPLING


def planes_of(picture: av.VideoFrame) -> tuple[NDArray[np.uint8], ...]:
    """Luma and the two chroma planes of an 8-bit planar picture, each (height, width).

    The arrays look at the decoder's memory and keep it: never write into them.
    """
    return tuple(_view(plane) for plane in picture.planes)


def resized(picture: av.VideoFrame, width: int, height: int) -> av.VideoFrame:
    """Scale an 8-bit planar picture plane by plane, averaging areas when it gets smaller."""
    across, down = _SUBSAMPLING[picture.format.name]
    made = av.VideoFrame(width, height, picture.format.name)
    for n, (old, new) in enumerate(zip(picture.planes, made.planes, strict=True)):
        size = (width, height) if n == 0 else (-(-width // across), -(-height // down))
        shrinks = size[0] < old.width and size[1] < old.height
        cv2.resize(
            _view(old),
            size,
            dst=_view(new),
            interpolation=cv2.INTER_AREA if shrinks else cv2.INTER_LINEAR,
        )
    return made


def _view(plane: av.video.plane.VideoPlane) -> NDArray[np.uint8]:
    buffer: NDArray[np.uint8] = np.frombuffer(memoryview(plane), dtype=np.uint8)
    return buffer.reshape(-1, plane.line_size)[: plane.height, : plane.width]
