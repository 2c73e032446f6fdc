"""Pictures of one known colour, in any format, and what their planes hold.

The planes are computed here from the luma coefficients of ITU-R BT.601-7, BT.709-6 and BT.2020-2
(from memory) and the quantisation of limited (16 to 235, 16 to 240) and full range.
"""

from __future__ import annotations

import av
import numpy as np
from numpy.typing import NDArray

PATCHES = [
    (255, 0, 0), (0, 255, 0), (0, 0, 255), (255, 255, 255), (0, 0, 0), (128, 128, 128),
    (180, 60, 40), (30, 200, 150), (250, 220, 10), (90, 90, 200), (220, 90, 60),
]  # fmt: skip
LUMA = {"bt709": (0.2126, 0.0722), "bt601": (0.299, 0.114), "bt2020": (0.2627, 0.0593)}
UNTAGGED, TAGS = 2, {1: "bt709", 5: "bt601", 6: "bt601", 9: "bt2020"}
FORMATS = ["yuv420p", "yuvj420p", "yuv422p", "yuvj422p", "yuv444p", "nv12", "yuv420p10le",
           "yuv422p10le", "yuv444p10le"]  # fmt: skip
TOLERANCE = 2


def coded(
    rgb: tuple[int, int, int], matrix: str, is_full: bool, bits: int = 8
) -> tuple[int, int, int]:
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


def patch(values: tuple[int, int, int], layout: str, height: int) -> av.VideoFrame:
    """A picture of one colour."""
    picture = av.VideoFrame(64, height, layout)
    kind = np.uint16 if "10" in layout else np.uint8
    for plane, value in zip(picture.planes, values, strict=False):
        row: NDArray[np.generic] = np.frombuffer(memoryview(plane), dtype=kind)
        row[:] = value
    if layout == "nv12":
        row[1::2] = values[2]
    return picture
