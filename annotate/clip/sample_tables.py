"""The packets of an MP4 or MOV file from its header alone, where that can be proved.

Such a file lists all its samples before any of them need be read (ISO/IEC 14496-12, sample table).
FFmpeg has read most of that list when it has opened the file; what it keeps to itself, how much
later than decoded each picture is shown (`ctts`), is read here. Packets demuxed at several places
must agree with the list to the last field; else the file is read through like any other.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from annotate.clip.boxes import mp4_boxes
from annotate.clip.opening import OpenedClip
from annotate.clip.packets import COLUMNS, HIDDEN, KEY, PacketTable, raw_packets, row_of
from annotate.clip.stopping import Cancel, stop_if

_FRAGMENTS = {b"moof", b"mvex"}
_LARGEST_HEADER = 1 << 28
_MOST_PLACES = 64
_PLACES, _READ_AT_A_PLACE = 6, 12
_NO_SHIFT = -(1 << 30)
"""A stated delay below this is a slip that demuxers treat each in their own way."""

_Int = NDArray[np.int64]


def may_have_table(clip: OpenedClip) -> bool:
    """Whether a file is of the kind whose header can list its packets."""
    return clip.inside is None and "mp4" in clip.container.format.name.split(",")


def table_of_header(clip: OpenedClip, cancel: Cancel = None) -> PacketTable | None:
    """List the packets of a clip without reading them; leaves the clip somewhere in its middle.

    Returns
    -------
    PacketTable or None
        None where the header does not say it all, or packets read do not bear it out.

    Raises
    ------
    ReadingStopped
        If `cancel` asks for it.
    """
    if not may_have_table(clip):
        return None
    try:
        table = _listed(clip)
    except (struct.error, ValueError, OSError, OverflowError, av.FFmpegError):
        return None
    if table is None or not _is_borne_out(clip, table, cancel):
        return None
    return table


def _listed(clip: OpenedClip) -> PacketTable | None:
    header = _header_of(clip.path)
    if header is None:
        return None
    delays, sizes = _delays_and_sizes(header, clip.stream.id)
    entries = clip.stream.index_entries
    n = len(entries)
    if n < 2 or not len(sizes):
        return None
    columns = np.array(
        [(e.timestamp, e.pos, e.size, e.is_keyframe, e.is_discard) for e in entries], dtype=np.int64
    )
    dts, pos, size, is_key, is_hidden = np.ascontiguousarray(columns.T)
    first = _first_sample(sizes, size)
    steps = np.diff(dts)
    ends_within = int((pos + size).max()) <= clip.path.stat().st_size
    if first is None or not ends_within or (size < 1).any() or (steps < 0).any():
        return None
    pts = dts.copy()
    if len(delays):
        if len(delays) != len(sizes) or delays.min() < _NO_SHIFT:
            return None
        pts += delays[first : first + n] - min(0, int(delays.min()))
    flags = (KEY * is_key + HIDDEN * is_hidden).astype(np.uint8)
    return PacketTable(pts, dts, np.append(steps, 0), pos, size, flags)


def _first_sample(sizes: _Int, shown: _Int) -> int | None:
    """Which of the listed samples the demuxer's first one is: an edit may leave some out."""
    n_places = len(sizes) - len(shown) + 1
    places = np.flatnonzero(sizes[: max(0, n_places)] == shown[0])[:_MOST_PLACES]
    fits = [int(at) for at in places if np.array_equal(sizes[at : at + len(shown)], shown)]
    return fits[0] if len(fits) == 1 else None


def _is_borne_out(clip: OpenedClip, table: PacketTable, cancel: Cancel) -> bool:
    """Compare with packets read at the beginning, in the middle and at the end.

    The last packet's duration, which no list states, is filled in from what is read.
    """
    keys = np.flatnonzero(table.is_key)
    if not len(keys):
        return False
    chosen = np.unique(np.linspace(0, len(keys) - 1, _PLACES).astype(int))
    places = [int(keys[place]) for place in chosen]
    try:
        if not _agrees(clip, table, 0, _READ_AT_A_PLACE):
            return False
        for place in places:
            stop_if(cancel)
            clip.container.seek(int(table.pts[place]), stream=clip.stream)
            length = len(table) if place == places[-1] else _READ_AT_A_PLACE
            if not _agrees(clip, table, None, length):
                return False
    except (av.FFmpegError, OverflowError):
        return False
    return bool(table.duration[-1])


def _agrees(clip: OpenedClip, table: PacketTable, at: int | None, length: int) -> bool:
    """Compare packets that come now with the list, up to `length` of them or to the end."""
    n_read = 0
    for packet in raw_packets(clip):
        row = row_of(packet)
        if at is None:
            found = np.flatnonzero(table.pos == row[COLUMNS.index("pos")])
            if len(found) != 1:
                return False
            at = int(found[0])
        if at >= len(table):
            return False
        if at == len(table) - 1:
            table.duration[-1] = row[COLUMNS.index("duration")]
        if row != tuple(int(getattr(table, name)[at]) for name in COLUMNS):
            return False
        at, n_read = at + 1, n_read + 1
        if n_read >= length:
            return True
    return at == len(table)


def _header_of(path: Path) -> bytes | None:
    """The content of the one `moov` box of a file without fragments."""
    boxes = mp4_boxes(path)
    places = [(start, length) for name, start, length in boxes if name == b"moov"]
    size = path.stat().st_size
    is_whole = all(start + length <= size for _, start, length in boxes)
    has_fragments = any(name in _FRAGMENTS for name, _, _ in boxes)
    if len(places) != 1 or not is_whole or has_fragments or places[0][1] > _LARGEST_HEADER:
        return None
    start, length = places[0]
    with path.open("rb") as file:
        file.seek(start)
        content = file.read(length)
    skipped = 16 if content[:4] == b"\0\0\0\1" else 8
    return content[skipped:] if len(content) == length else None


def _inner(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Boxes inside a box: name and content."""
    at = 0
    while at + 8 <= len(content):
        length, name = struct.unpack_from(">I4s", content, at)
        head = 8
        if length == 1:
            length, head = struct.unpack_from(">Q", content, at + 8)[0], 16
        elif length == 0:
            length = len(content) - at
        if length < head or at + length > len(content):
            raise ValueError("a box that does not fit its place")
        yield name, content[at + head : at + length]
        at += length


def _only(content: bytes, *names: bytes) -> bytes | None:
    """Content of the box at a path of names; None if there is none, or more than one."""
    for name in names:
        found = [inner for called, inner in _inner(content) if called == name]
        if len(found) != 1:
            return None
        content = found[0]
    return content


def _delays_and_sizes(header: bytes, track_id: int) -> tuple[_Int, _Int]:
    """By how many ticks each sample is shown later than decoded (none if equal), and its bytes."""
    empty = np.empty(0, dtype=np.int64)
    if _only(header, b"mvex") is not None:
        return empty, empty
    for name, track in _inner(header):
        head = _only(track, b"tkhd") if name == b"trak" else None
        if head is None or struct.unpack_from(">I", head, 20 if head[0] else 12)[0] != track_id:
            continue
        samples = _only(track, b"mdia", b"minf", b"stbl")
        if samples is None or (listed := _sizes(samples)) is None:
            return empty, empty
        return _delays(samples), listed
    return empty, empty


def _delays(samples: bytes) -> _Int:
    boxes = [inner for name, inner in _inner(samples) if name == b"ctts"]
    if not boxes:
        return np.empty(0, dtype=np.int64)
    if len(boxes) != 1:
        raise ValueError("more than one list of delays")
    n = struct.unpack_from(">I", boxes[0], 4)[0]
    pairs = np.frombuffer(boxes[0], dtype=">i4", count=2 * n, offset=8).reshape(n, 2)
    counts, delays = pairs[:, 0].astype(np.int64), pairs[:, 1].astype(np.int64)
    if (counts < 1).any() or int(counts.sum()) > _LARGEST_HEADER:
        raise ValueError("a list of delays with an impossible count")
    return np.repeat(delays, counts)


def _sizes(samples: bytes) -> _Int | None:
    box = _only(samples, b"stsz")
    if box is None:
        return None  # the compact kind, `stz2`, is rare: such a file is read through
    alike, n = struct.unpack_from(">II", box, 4)
    if n > _LARGEST_HEADER:
        return None
    if alike:
        return np.full(n, alike, dtype=np.int64)
    return np.frombuffer(box, dtype=">u4", count=n, offset=12).astype(np.int64)
