"""An index as bytes, for the store to keep under the file's fingerprint."""

from __future__ import annotations

import hashlib
import io
import json
import struct
import zipfile
import zlib
from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray

from annotate.clip.damage import MOST_SPANS, DamageSpan
from annotate.clip.index import ALGORITHM_VERSION, ClipIndex
from annotate.clip.packets import PacketTable
from annotate.clip.shape import PictureShape

_MAGIC = b"clip-index\0"
_DIGEST_BYTES = 32
_PACKET_COLUMNS = ("pts", "dts", "duration", "pos", "size")
_UNREADABLE = (
    ValueError, TypeError, KeyError, OSError, EOFError, OverflowError, MemoryError, RuntimeError,
    ZeroDivisionError, SyntaxError, struct.error, zlib.error, zipfile.BadZipFile,
)  # fmt: skip


def pack(index: ClipIndex) -> bytes:
    """Pack an index: a mark, a SHA-256 of the rest, and a compressed NumPy archive.

    Raises
    ------
    ValueError
        If the index is partial: what is kept is whole.
    """
    if index.is_partial:
        raise ValueError("an index that is still growing is not kept")
    facts = {
        "version": ALGORITHM_VERSION,
        "end_tick": index.end_tick,
        "time_base": str(index.time_base),
        "coded_size": [index.shape.coded_width, index.shape.coded_height],
        "rotation_deg": index.shape.rotation_deg,
        "is_mirrored": index.shape.is_mirrored,
        "sample_aspect": str(index.shape.sample_aspect),
        "codec": index.codec,
        "container": index.container,
        "is_order_decoded": index.is_order_decoded,
        "damage": index.damage,
        "damaged": [[span.start_us, span.end_us, span.words] for span in index.damaged],
    }
    arrays: dict[str, Any] = {name: getattr(index.packets, name) for name in _PACKET_COLUMNS}
    arrays |= {"flags": index.packets.flags, "ordinals": index.ordinals, "ticks": index.ticks}
    arrays["facts"] = np.frombuffer(json.dumps(facts).encode(), dtype=np.uint8)
    file = io.BytesIO()
    np.savez_compressed(file, **arrays)
    body = file.getvalue()
    return _MAGIC + hashlib.sha256(body).digest() + body


def unpack(content: bytes) -> ClipIndex:
    """Read what `pack` wrote.

    Raises
    ------
    ValueError
        If it is anything else, damaged, or of another version.
    """
    start = len(_MAGIC) + _DIGEST_BYTES
    body = content[start:]
    if not content.startswith(_MAGIC):
        raise ValueError("these bytes are no clip index")
    if hashlib.sha256(body).digest() != content[len(_MAGIC) : start]:
        raise ValueError("this clip index is damaged")
    try:
        with np.load(io.BytesIO(body), allow_pickle=False) as archive:
            arrays = {name: np.asarray(archive[name]) for name in archive.files}
        index = _index_of(arrays, json.loads(arrays["facts"].tobytes()))
    except _UNREADABLE as error:
        raise ValueError(f"this clip index cannot be read: {error}") from error
    return index


def _index_of(arrays: dict[str, NDArray[Any]], facts: dict[str, Any]) -> ClipIndex:
    if facts["version"] != ALGORITHM_VERSION:
        raise ValueError(f"version {facts['version']}, not {ALGORITHM_VERSION}")
    flags = _column(arrays, "flags", np.uint8)
    pts, dts, duration, pos, size = (_column(arrays, name, np.int64) for name in _PACKET_COLUMNS)
    if any(len(column) != len(flags) for column in (pts, dts, duration, pos, size)):
        raise ValueError("packet columns differ in length")
    ordinals, ticks = _column(arrays, "ordinals", np.int64), _column(arrays, "ticks", np.int64)
    _check_frames(ordinals, ticks, len(flags))
    width, height = (int(n) for n in facts["coded_size"])
    time_base, aspect = Fraction(facts["time_base"]), Fraction(facts["sample_aspect"])
    turn, end_tick = int(facts["rotation_deg"]), int(facts["end_tick"])
    if min(width, height) < 1 or time_base <= 0 or aspect <= 0 or turn not in {0, 90, 180, 270}:
        raise ValueError("the shape is impossible")
    if end_tick < ticks[-1]:
        raise ValueError("the clip ends before its last frame")
    return ClipIndex(
        PacketTable(pts, dts, duration, pos, size, flags), ordinals, ticks, end_tick, time_base,
        PictureShape(width, height, turn, aspect, bool(facts["is_mirrored"])),
        str(facts["codec"]), str(facts["container"]),
        bool(facts["is_order_decoded"]), str(facts["damage"]), _spans(facts["damaged"]),
    )  # fmt: skip


def _spans(listed: list[Any]) -> tuple[DamageSpan, ...]:
    if len(listed) > MOST_SPANS:
        raise ValueError("too many damaged places")
    return tuple(DamageSpan(int(start), int(end), str(words)) for start, end, words in listed)


def _column(arrays: dict[str, NDArray[Any]], name: str, kind: type) -> NDArray[Any]:
    column = arrays[name]
    if column.dtype != kind or column.ndim != 1:
        raise ValueError(f"column {name} is not one row of {kind.__name__}")
    return column


def _check_frames(ordinals: NDArray[Any], ticks: NDArray[Any], n_packets: int) -> None:
    if not 0 < len(ordinals) == len(ticks):
        raise ValueError("frames and times differ in number, or there are none")
    if (
        ordinals.min() < 0
        or ordinals.max() >= n_packets
        or len(np.unique(ordinals)) != len(ordinals)
    ):
        raise ValueError("a frame without a packet of its own")
    if ticks[0] != 0 or (np.diff(ticks) < 0).any():
        raise ValueError("times fall")
