"""Decoded planes as arrays, and shrinking them before the costlier conversion to RGB."""

from __future__ import annotations

from typing import Any

import av
import cv2
import numpy as np
from numpy.typing import NDArray

_SUBSAMPLING = {
    "yuv420p": (2, 2), "yuvj420p": (2, 2), "yuv422p": (2, 1), "yuvj422p": (2, 1),
    "yuv444p": (1, 1), "yuvj444p": (1, 1),
}  # fmt: skip
"""Formats of three 8-bit planes, and by how much their chroma is shrunk across and down."""

_BYTE_BITS = 8
_AREA_FROM = 2
"""Shrunk by this or more, areas are averaged; by less, that is slow and shows no difference."""


def has_planes(picture: av.VideoFrame) -> bool:
    """Whether the planes can be scaled one by one: three of them, of 8 to 16 bits."""
    return _in_bytes(picture) in _SUBSAMPLING


def luma_of(picture: av.VideoFrame) -> NDArray[np.uint8]:
    """Brightness plane in 8 bits, in the range in which it is coded, (height, width).

    A view of the decoder's memory for 8-bit planar pictures: never write into it.
    """
    layout = picture.format
    if not layout.is_planar or layout.is_rgb or layout.is_big_endian:
        return luma_of(picture.reformat(format="yuv444p", threads=1))
    bits = layout.components[0].bits
    plane = _view(picture.planes[0], bits)
    return plane if bits == _BYTE_BITS else (plane >> (bits - _BYTE_BITS)).astype(np.uint8)


def scaled(picture: av.VideoFrame, width: int, height: int) -> av.VideoFrame:
    """Scale a picture that `has_planes` plane by plane, to 8 bits; itself if nothing changes."""
    name, bits = _in_bytes(picture), picture.format.components[0].bits
    if bits == _BYTE_BITS and (picture.width, picture.height) == (width, height):
        return picture
    across, down = _SUBSAMPLING[name]
    made = av.VideoFrame(width, height, name)
    for n, (old, new) in enumerate(zip(picture.planes, made.planes, strict=True)):
        size = (width, height) if n == 0 else (-(-width // across), -(-height // down))
        is_much = min(old.width / size[0], old.height / size[1]) >= _AREA_FROM
        way = cv2.INTER_AREA if is_much else cv2.INTER_LINEAR
        if bits == _BYTE_BITS:
            cv2.resize(_view(old, bits), size, dst=_view(new), interpolation=way)
        else:
            wide = cv2.resize(_view(old, bits), size, interpolation=way)
            cv2.convertScaleAbs(wide, dst=_view(new), alpha=2.0 ** (_BYTE_BITS - bits))
    return made


def _in_bytes(picture: av.VideoFrame) -> str:
    """Name of the format of the same planes in 8 bits."""
    name = picture.format.name
    return name.removesuffix(f"{picture.format.components[0].bits}le")


def _view(plane: av.video.plane.VideoPlane, bits: int = _BYTE_BITS) -> NDArray[Any]:
    """Pixels of a plane, (height, width), of one or two bytes each."""
    kind = np.uint8 if bits == _BYTE_BITS else np.uint16
    buffer: NDArray[Any] = np.frombuffer(memoryview(plane), dtype=kind)
    return buffer.reshape(-1, plane.line_size // buffer.itemsize)[: plane.height, : plane.width]
