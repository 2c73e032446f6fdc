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

Box = tuple[int, int, int, int]
"""Left, top, right and bottom, pixels; right and bottom are the first ones outside."""

_COLUMNS = 16
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


def chroma_step(picture: av.VideoFrame) -> tuple[int, int]:
    """By how much chroma is shrunk across and down in a picture that `has_planes`."""
    return _SUBSAMPLING[_in_bytes(picture)]


def scaled(
    picture: av.VideoFrame, width: int, height: int, box: Box | None = None
) -> av.VideoFrame:
    """Scale a part of a picture that `has_planes` plane by plane, to 8 bits.

    What comes back may be wider by up to 15 columns and higher by a row, which hold nothing: the
    quick conversion wants even heights, and leaves columns out at widths between.

    Parameters
    ----------
    box : tuple of int, optional
        Left, top, right and bottom of the part, pixels; left and top on a chroma sample. The whole
        picture if left out, and it itself if then nothing changes.
    """
    name, bits = _in_bytes(picture), picture.format.components[0].bits
    box = box or (0, 0, picture.width, picture.height)
    is_whole = box == (0, 0, picture.width, picture.height)
    is_even = width % _COLUMNS == height % 2 == 0
    is_same = is_whole and (picture.width, picture.height) == (width, height)
    if is_same and is_even and bits == _BYTE_BITS:
        return picture
    made = av.VideoFrame(-(-width // _COLUMNS) * _COLUMNS, height + height % 2, name)
    for n, (old, new) in enumerate(zip(picture.planes, made.planes, strict=True)):
        across, down = (1, 1) if n == 0 else _SUBSAMPLING[name]
        left, top = box[0] // across, box[1] // down
        source = _view(old, bits)[top : -(-box[3] // down), left : -(-box[2] // across)]
        target = _view(new)[: -(-height // down), : -(-width // across)]
        _scale(source, target, bits)
    return made


def _scale(source: NDArray[Any], target: NDArray[np.uint8], bits: int) -> None:
    """Fill an array of bytes with another one of one or two bytes, scaled to its size."""
    if source.shape != target.shape:
        ratio = min(source.shape[0] / target.shape[0], source.shape[1] / target.shape[1])
        way = cv2.INTER_AREA if ratio >= _AREA_FROM else cv2.INTER_LINEAR
        size = target.shape[1], target.shape[0]
        if bits == _BYTE_BITS:
            cv2.resize(source, size, dst=target, interpolation=way)
            return
        source = cv2.resize(source, size, interpolation=way)
    if bits == _BYTE_BITS:
        np.copyto(target, source)
    else:
        cv2.convertScaleAbs(source, dst=target, alpha=2.0 ** (_BYTE_BITS - bits))


def _in_bytes(picture: av.VideoFrame) -> str:
    """Name of the format of the same planes in 8 bits."""
    name = picture.format.name
    return name.removesuffix(f"{picture.format.components[0].bits}le")


def _view(plane: av.video.plane.VideoPlane, bits: int = _BYTE_BITS) -> NDArray[Any]:
    """Pixels of a plane, (height, width), of one or two bytes each."""
    kind = np.uint8 if bits == _BYTE_BITS else np.uint16
    buffer: NDArray[Any] = np.frombuffer(memoryview(plane), dtype=kind)
    return buffer.reshape(-1, plane.line_size // buffer.itemsize)[: plane.height, : plane.width]
