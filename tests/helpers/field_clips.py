"""H.264 whose two fields are pictures of their own (PAFF), which no encoder here writes.

Every macroblock is written as it is (I_PCM), so that a few headers are all there is to code; syntax
by ITU-T H.264, 7.3, from memory, and FFmpeg's decoder bears it out.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numbered_clips import paint
from numpy.typing import NDArray

SIDE = 128
GROUP = 8
_IDR, _OTHER, _SEQUENCE, _PICTURE = 0x65, 0x61, 0x67, 0x68
_I_PCM, _ONLY_I_SLICES = 25, 7


class _Bits:
    def __init__(self) -> None:
        self.bits: list[int] = []

    def put(self, *fields: tuple[int, int]) -> None:
        """Values with their width in bits."""
        for value, width in fields:
            self.bits += [value >> place & 1 for place in range(width - 1, -1, -1)]

    def golomb(self, *values: int) -> None:
        for value in values:
            width = (value + 1).bit_length()
            self.put((0, width - 1), (value + 1, width))

    def align(self) -> None:
        self.bits += [0] * (-len(self.bits) % 8)

    def unit(self, head: int) -> bytes:
        """Close the unit; two zero bytes are kept from looking like its beginning."""
        self.put((1, 1))
        self.align()
        out, zeros = bytearray(), 0
        for byte in np.packbits(np.array(self.bits, np.uint8)).tolist():
            if zeros >= 2 and byte <= 3:
                out.append(3)
                zeros = 0
            out.append(byte)
            zeros = zeros + 1 if byte == 0 else 0
        return b"\0\0\0\1" + bytes([head]) + bytes(out)


def _headers() -> bytes:
    sequence, picture = _Bits(), _Bits()
    sequence.put((77, 8), (0, 8), (30, 8))
    sequence.golomb(0, 0, 0, 4, 1)
    sequence.put((0, 1))
    sequence.golomb(SIDE // 16 - 1, SIDE // 32 - 1)
    sequence.put((0, 1), (0, 1), (1, 1), (0, 1))  # fields, none mixed within a frame; no crop
    sequence.put((1, 1), (0, 4), (1, 1), (1, 32), (60, 32), (1, 1), (0, 4))  # 30 frames a second
    picture.golomb(0, 0)
    picture.put((0, 2))
    picture.golomb(0, 0, 0)
    picture.put((0, 3))
    picture.golomb(0, 0, 0)
    picture.put((0, 2), (0, 1))
    return sequence.unit(_SEQUENCE) + picture.unit(_PICTURE)


def _field(planes: list[NDArray[np.uint8]], number: int, is_bottom: int) -> bytes:
    bits, place = _Bits(), number % GROUP
    is_idr = place == 0 and not is_bottom
    bits.golomb(0, _ONLY_I_SLICES, 0)
    bits.put((place, 4), (1, 1), (is_bottom, 1))
    if is_idr:
        bits.golomb(number // GROUP % 2)
    bits.put((2 * place + is_bottom, 8))
    bits.put((0, 2 if is_idr else 1))
    bits.golomb(0)
    luma, *chroma = planes
    for down in range(luma.shape[0] // 16):
        for across in range(luma.shape[1] // 16):
            bits.golomb(_I_PCM)
            bits.align()
            block = [luma[16 * down :, 16 * across :][:16, :16]]
            block += [plane[8 * down :, 8 * across :][:8, :8] for plane in chroma]
            samples = np.concatenate([part.ravel() for part in block])
            bits.bits += np.unpackbits(np.maximum(samples, 1)).tolist()
    return bits.unit(_IDR if is_idr else _OTHER)


def make_field_clip(path: Path, n_frames: int, fields_apart: bool) -> list[int]:
    """Write a clip, each field handed to the muxer as a packet, or both as one."""
    bare = path.with_suffix(".h264")
    coded: list[list[bytes]] = []
    for number in range(n_frames):
        frame = av.VideoFrame.from_ndarray(paint(number, SIDE, SIDE), format="rgb24")
        planar = frame.reformat(format="yuv420p", threads=1).to_ndarray()
        quarter = SIDE // 4
        luma = planar[:SIDE]
        blue = planar[SIDE : SIDE + quarter].reshape(SIDE // 2, SIDE // 2)
        red = planar[SIDE + quarter :].reshape(SIDE // 2, SIDE // 2)
        top, bottom = (
            _field([plane[of::2] for plane in (luma, blue, red)], number, of) for of in (0, 1)
        )
        head = _headers() if number % GROUP == 0 else b""
        coded.append([head + top, bottom] if fields_apart else [head + top + bottom])
    bare.write_bytes(b"".join(part for parts in coded for part in parts))
    with av.open(str(bare)) as clip, av.open(str(path), "w") as out:
        stream = out.add_stream_from_template(clip.streams.video[0])
        for number, parts in enumerate(coded):
            for at, part in enumerate(parts):
                packet = av.Packet(part)
                packet.time_base, packet.stream = Fraction(1, 90_000), stream
                packet.pts = packet.dts = 3000 * number + 1500 * at
                packet.duration = 3000 // len(parts)
                packet.is_keyframe = number % GROUP == 0 and at == 0
                out.mux(packet)
    bare.unlink()
    return list(range(n_frames))
