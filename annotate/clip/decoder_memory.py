"""How much memory a decoder's own pictures take, besides those that are kept of it.

A decoder holds the pictures that later ones refer to, and those on which its threads work. It takes
them from a pool that grows as needed and never shrinks while the decoder is open.
"""

from __future__ import annotations

import av

from annotate.clip.lasting import picture_bytes
from annotate.clip.shape import PictureShape

_MIB = 1 << 20

_BLOCKS_OF_H264_LEVEL = {
    10: 396, 11: 900, 12: 2376, 13: 2376, 20: 2376, 21: 4752, 22: 8100, 30: 8100, 31: 18000,
    32: 20480, 40: 32768, 41: 32768, 42: 34816, 50: 110400, 51: 184320, 52: 184320,
    60: 696320, 61: 696320, 62: 696320,
}  # fmt: skip
"""MaxDpbMbs of ITU-T H.264, table A-1 (from memory): macroblocks that a decoder holds at most."""

_PIXELS_OF_HEVC_LEVEL = {
    30: 36864, 60: 122880, 63: 245760, 90: 552960, 93: 983040, 120: 2228224, 123: 2228224,
    150: 8912896, 153: 8912896, 156: 8912896, 180: 35651584, 183: 35651584, 186: 35651584,
}  # fmt: skip
"""MaxLumaPs of ITU-T H.265, table A.8 (from memory): pixels of the largest picture."""

_MOST_REFERENCES = 16
_REFERENCES = {
    "h264": _MOST_REFERENCES, "hevc": _MOST_REFERENCES, "vp9": 8, "vp8": 3, "av1": 8, "libdav1d": 8,
    "libaom-av1": 8, "mjpeg": 0, "prores": 0, "dnxhd": 0, "rawvideo": 0,
}  # fmt: skip
"""Pictures that later ones refer to; two in the older encodings, which are left out here."""

_OLDER_REFERENCES = 2
_BESIDE_A_PICTURE = {"hevc": 1.35}
_BESIDE_OTHERS = 1.2
"""Memory of a picture over that of its planes: edges, motion and kinds of block. Measured."""

_THREADS_BYTES = 8 * _MIB
"""The threads' own tables and packets, measured at 1080p and 2160p."""

_HANDED_OUT = 1
"""Pictures that whoever asked still holds, such as the one that is converted."""


def own_bytes(
    context: av.VideoCodecContext, shape: PictureShape, *, only_keys: bool = False
) -> int:
    """Bytes that a decoder takes at most for pictures of its own, by what its stream allows.

    Parameters
    ----------
    only_keys : bool
        Whether it is only ever given single pictures that refer to nothing.
    """
    width, height = shape.coded_width, shape.coded_height
    layout = context.format.name if context.format is not None else "yuv420p"
    one = picture_bytes(av.VideoFrame(width, height, layout))
    held = 1 if only_keys else n_references(context.name, context.level, width, height)
    threads = context.thread_count if context.thread_type.name == "FRAME" else 1
    n_pictures = held + (1 if only_keys else threads) + _HANDED_OUT
    beside = _BESIDE_A_PICTURE.get(context.name, _BESIDE_OTHERS)
    return round(n_pictures * beside * one) + _THREADS_BYTES


def n_references(codec: str, level: int, width: int, height: int) -> int:
    """How many pictures a stream may have its decoder hold, by its encoding, level and size."""
    most = _REFERENCES.get(codec, _OLDER_REFERENCES)
    if codec == "h264" and level in _BLOCKS_OF_H264_LEVEL:
        blocks = -(-width // 16) * -(-height // 16)
        return max(1, min(most, _BLOCKS_OF_H264_LEVEL[level] // max(1, blocks)))
    if codec == "hevc" and level in _PIXELS_OF_HEVC_LEVEL:
        largest, pixels = _PIXELS_OF_HEVC_LEVEL[level], width * height
        for share, n in ((4, 16), (2, 12), (4 / 3, 8)):
            if pixels * share <= largest:
                return n
        return 6
    return most
