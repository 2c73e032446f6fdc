"""Pictures and clips of colours that are known, coded by the luma coefficients of the standards.

Coefficients of ITU-R BT.601-7, BT.709-6 and BT.2020-2 (from memory), quantised in limited (16 to
235, 16 to 240) or full range. No library converts a colour here.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from interlaced_clips import FieldOrder
from numpy.typing import NDArray

LUMA = {"bt709": (0.2126, 0.0722), "bt601": (0.299, 0.114), "bt2020": (0.2627, 0.0593)}
RED_REFLEX = (200, 70, 45)
PATCHES = (
    RED_REFLEX, (255, 0, 0), (0, 255, 0), (0, 0, 255),
    (255, 255, 255), (0, 0, 0), (128, 128, 128), (180, 60, 40),
    (30, 200, 150), (250, 220, 10), (90, 90, 200), (220, 90, 60),
)  # fmt: skip
COLUMNS, ROWS = 4, 3
UNTAGGED, TAGS = 2, {1: "bt709", 5: "bt601", 6: "bt601", 9: "bt2020"}
FORMATS = ("yuv420p", "yuvj420p", "yuv422p", "yuvj422p", "yuv444p", "nv12", "yuv420p10le",
           "yuv422p10le", "yuv444p10le")  # fmt: skip
TOLERANCE = 2
Colour = tuple[int, int, int]


@dataclass(frozen=True)
class Kind:
    """How the patches are coded; `tag` is what the stream says of its matrix, 2 for nothing."""

    name: str
    width: int
    height: int
    codec: str
    layout: str
    matrix: str
    is_full: bool = False
    tag: int = UNTAGGED
    is_interlaced: bool = False
    options: dict[str, str] = field(default_factory=dict)


def coded(rgb: Colour, matrix: str, is_full: bool, bits: int = 8) -> Colour:
    """Luma and chroma values of a colour."""
    red, green, blue = (value / 255 for value in rgb)
    of_red, of_blue = LUMA[matrix]
    luma = of_red * red + (1 - of_red - of_blue) * green + of_blue * blue
    chroma = [(blue - luma) / 2 / (1 - of_blue), (red - luma) / 2 / (1 - of_red)]
    most, middle, unit = 2**bits - 1, 2 ** (bits - 1), 2 ** (bits - 8)
    if is_full:
        cb, cr = (min(most, round(most * c + middle)) for c in chroma)
        return round(most * luma), cb, cr
    cb, cr = (round(unit * (128 + 224 * c)) for c in chroma)
    return round(unit * (16 + 219 * luma)), cb, cr


def patch(values: Colour, layout: str, height: int) -> av.VideoFrame:
    """A picture of one colour, from its luma and chroma values, 64 pixels wide."""
    picture = av.VideoFrame(64, height, layout)
    kind = np.uint16 if "10" in layout else np.uint8
    for plane, value in zip(picture.planes, values, strict=False):
        row: NDArray[np.generic] = np.frombuffer(memoryview(plane), dtype=kind)
        row[:] = value
    if layout == "nv12":
        row[1::2] = values[2]
    return picture


def make_patches(path: Path, kind: Kind, n_frames: int = 6) -> None:
    """Write a clip that shows the patches in every picture."""
    with av.open(str(path), "w") as out:
        stream = out.add_stream(kind.codec, rate=25, options=dict(kind.options))
        stream.width, stream.height, stream.pix_fmt = kind.width, kind.height, kind.layout
        context = stream.codec_context
        context.time_base = Fraction(1, 25)
        context.colorspace = kind.tag
        weave = FieldOrder(kind.width, kind.height, kind.layout, True)
        for n in range(n_frames):
            picture = patches(kind)
            if kind.is_interlaced:
                picture = weave.stated(picture)
            picture.colorspace = kind.tag
            picture.pts, picture.time_base = n, Fraction(1, 25)
            out.mux(stream.encode(picture))
        out.mux(stream.encode(None))


def patches(kind: Kind) -> av.VideoFrame:
    """The picture of a kind, plane by plane."""
    bits = 10 if "10" in kind.layout else 8
    dtype = np.uint16 if bits > 8 else np.uint8
    values = [coded(rgb, kind.matrix, kind.is_full, bits) for rgb in PATCHES]
    picture = av.VideoFrame(kind.width, kind.height, kind.layout)
    for channel, plane in enumerate(picture.planes):
        flat: NDArray[np.generic] = np.frombuffer(memoryview(plane), dtype=dtype)
        lines = flat.reshape(plane.height, -1)
        for at, colour in enumerate(values):
            row, column = divmod(at, COLUMNS)
            top, bottom = (plane.height * edge // ROWS for edge in (row, row + 1))
            left, right = (plane.width * edge // COLUMNS for edge in (column, column + 1))
            lines[top:bottom, left:right] = colour[channel]
    return picture


def errors(rgb: NDArray[np.uint8]) -> NDArray[np.int64]:
    """Greatest error of each patch, of 255, over its middle: shape (12,)."""
    height, width = rgb.shape[:2]
    found = []
    for at, colour in enumerate(PATCHES):
        row, column = divmod(at, COLUMNS)
        y, x = (row + 0.5) * height / ROWS, (column + 0.5) * width / COLUMNS
        off_y, off_x = height / ROWS / 8, width / COLUMNS / 8
        part = rgb[round(y - off_y) : round(y + off_y) + 1, round(x - off_x) : round(x + off_x) + 1]
        found.append(np.abs(part.astype(int) - colour).max())
    return np.array(found)
