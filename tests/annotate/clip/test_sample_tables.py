"""An index from the header of an MP4 or MOV is the one that reading it through gives, or none."""

from __future__ import annotations

import random
import struct
import threading
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from clip_kinds import KINDS
from numbered_clips import make_clip
from scanned import scanned

from annotate.clip import ReadingStopped, build_index
from annotate.clip.boxes import mp4_boxes
from annotate.clip.opening import open_clip
from annotate.clip.packets import COLUMNS, PacketTable
from annotate.clip.sample_tables import table_of_header
from annotate.errors import UserFacingError

ClipMaker = Callable[[str], Path]
IN_FRAGMENTS = {"h264_in_pieces.mp4", "negative_times.mov"}
KEYS_NOT_LISTED = {"h264_fields_coded_apart.mp4", "h264_fields_with_times.mp4"}
"""The demuxer finds more key packets in the stream than the header lists: it is read through."""

LISTED = sorted(kind for kind in KINDS if kind.endswith((".mp4", ".mov")))


def from_header(path: Path) -> PacketTable | None:
    with open_clip(path) as clip:
        return table_of_header(clip)


def differing(ours: PacketTable, other: PacketTable) -> list[str]:
    """Columns in which two tables differ."""
    return [
        name for name in COLUMNS if not np.array_equal(getattr(ours, name), getattr(other, name))
    ]


@pytest.mark.parametrize("kind", LISTED)
def test_the_header_lists_what_reading_through_finds(kind: str, clip_of: ClipMaker) -> None:
    path = clip_of(kind)
    table = from_header(path)
    if kind in IN_FRAGMENTS | KEYS_NOT_LISTED:
        assert table is None
    else:
        assert table is not None
        assert differing(table, scanned(path)) == []


@pytest.mark.parametrize("kind", ["b_frames.mp4", "edit_list_in_a_group.mp4", "prores.mov"])
def test_the_whole_index_is_the_same_by_either_way(
    kind: str, clip_of: ClipMaker, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = clip_of(kind)
    by_header = build_index(path).to_bytes()
    monkeypatch.setattr("annotate.clip.building.table_of_header", lambda *_: None)
    assert build_index(path).to_bytes() == by_header


def test_a_file_that_is_no_mp4_has_no_such_header(clip_of: ClipMaker) -> None:
    for kind in ("start_offset.mkv", "mpeg2.ts", "mpeg4.avi", "h264.mp4.dcm"):
        assert from_header(clip_of(kind)) is None


def test_a_file_that_breaks_off_is_read_through(tmp_path: Path) -> None:
    make_clip(tmp_path / "a.mp4", n_frames=40, muxer_options={"movflags": "faststart"})
    content = (tmp_path / "a.mp4").read_bytes()
    (tmp_path / "b.mp4").write_bytes(content[: len(content) * 2 // 3])
    assert from_header(tmp_path / "a.mp4") is not None
    assert from_header(tmp_path / "b.mp4") is None


def test_a_list_of_delays_that_packets_do_not_bear_out_is_refused(
    clip_of: ClipMaker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As if the header had been misread: one delay is another than the demuxer's."""
    from annotate.clip import sample_tables

    path = clip_of("b_frames.mp4")
    read = sample_tables._delays
    slip = np.eye(1, 64, 2, dtype=np.int64)[0]
    monkeypatch.setattr(sample_tables, "_delays", lambda box: read(box) + slip)
    assert from_header(path) is None


def test_calling_off_stops_the_comparison(clip_of: ClipMaker) -> None:
    stop = threading.Event()
    stop.set()
    with open_clip(clip_of("b_frames.mp4")) as clip, pytest.raises(ReadingStopped):
        table_of_header(clip, stop)


@pytest.mark.parametrize(
    "n_files", [30, pytest.param(1500, marks=pytest.mark.soak)], ids=["few", "many"]
)
def test_a_damaged_header_never_gives_another_index_than_reading_through(
    n_files: int, clip_of: ClipMaker, tmp_path: Path
) -> None:
    """Bytes of the sample tables are changed: FFmpeg's own reading of them is what counts."""
    used = 0
    for seed in range(n_files):
        chance = random.Random(seed)
        source = clip_of(["b_frames.mp4", "variable_rate.mp4", "edit_list.mp4"][seed % 3])
        content = bytearray(source.read_bytes())
        start, length = next((s, n) for name, s, n in mp4_boxes(source) if name == b"moov")
        at = content.index(b"stbl" if seed % 2 else b"trak", start)
        for _ in range(chance.choice([1, 1, 3])):
            place = chance.randrange(at, start + length)
            if chance.random() < 0.5:
                content[place] ^= 1 << chance.randrange(8)
            else:
                struct.pack_into(">B", content, place, chance.randrange(256))
        path = tmp_path / "damaged.mp4"
        path.write_bytes(content)
        try:
            table = from_header(path)
        except UserFacingError:
            continue
        if table is not None:
            used += 1
            assert differing(table, scanned(path)) == [], seed
    assert used > n_files // 20
