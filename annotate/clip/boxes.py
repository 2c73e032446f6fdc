"""What a file's outermost structure says of its own length, read without a demuxer."""

from __future__ import annotations

import struct
from pathlib import Path

_MP4_BOXES = {b"ftyp", b"moov", b"mdat", b"moof", b"free", b"skip", b"wide", b"styp", b"sidx"}
_MOST_BOXES = 200_000
_EBML, _SEGMENT = bytes.fromhex("1A45DFA3"), bytes.fromhex("18538067")
_TS_PACKET_BYTES, _TS_SYNC = 188, 0x47


def lacks_header(path: Path) -> bool:
    """Tell whether this is an MP4 or MOV file whose header was never written or is cut off."""
    boxes = mp4_boxes(path)
    names = {name for name, _, _ in boxes}
    if not boxes or boxes[0][0] not in _MP4_BOXES:
        return False
    size = path.stat().st_size
    whole = {name for name, start, length in boxes if start + length <= size}
    return b"moov" not in whole and bool(names & {b"ftyp", b"mdat"})


def promised_bytes(path: Path) -> int:
    """Length that the file's own structure promises; its size where it says nothing."""
    with path.open("rb") as file:
        head = file.read(_TS_PACKET_BYTES + 1)
    size = path.stat().st_size
    if head[:4] == b"RIFF" and head[8:12] == b"AVI ":
        # Recorders that never finish leave 0; files beyond 4 GiB continue in further chunks.
        return max(size, 8 + int.from_bytes(head[4:8], "little"))
    if head[4:8] in _MP4_BOXES:
        return max([size, *(start + length for _, start, length in mp4_boxes(path))])
    if head[:4] == _EBML:
        return max(size, _matroska_bytes(head))
    if len(head) > _TS_PACKET_BYTES and head[0] == head[_TS_PACKET_BYTES] == _TS_SYNC:
        return -(-size // _TS_PACKET_BYTES) * _TS_PACKET_BYTES
    return size


def _matroska_bytes(head: bytes) -> int:
    """Where a Matroska file's one segment ends; 0 where it was written without knowing."""
    start = len(_EBML)
    length, start = _matroska_size(head, start)
    start += length
    if head[start : start + len(_SEGMENT)] != _SEGMENT:
        return 0
    length, start = _matroska_size(head, start + len(_SEGMENT))
    return start + length


def _matroska_size(head: bytes, start: int) -> tuple[int, int]:
    """Read a size of variable length: the size (0 if unknown), and where the content starts."""
    n_bytes = 9 - head[start].bit_length() if start < len(head) and head[start] else 1
    value = int.from_bytes(head[start : start + n_bytes], "big") & ((1 << 7 * n_bytes) - 1)
    return (0 if value == (1 << 7 * n_bytes) - 1 else value), start + n_bytes


def mp4_boxes(path: Path) -> list[tuple[bytes, int, int]]:
    """Walk the outermost boxes: name, start, length in bytes."""
    boxes: list[tuple[bytes, int, int]] = []
    size, start = path.stat().st_size, 0
    with path.open("rb") as file:
        while start + 8 <= size and len(boxes) < _MOST_BOXES:
            file.seek(start)
            head = file.read(16)
            length, name = struct.unpack(">I4s", head[:8])
            if length == 1 and len(head) == 16:
                length = int.from_bytes(head[8:], "big")
            elif length == 0:
                length = size - start
            if length < 8:
                break
            boxes.append((name, start, length))
            start += length
    return boxes
