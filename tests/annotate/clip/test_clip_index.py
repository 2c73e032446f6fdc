"""The index states exactly when each frame is shown, and survives being kept."""

from __future__ import annotations

import hashlib
import io
import threading
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numbered_clips import Recipe, jittered_times, make_clip, read_number, remux

from annotate.clip import ClipIndex, ClipReader, ReadingStopped, build_index
from annotate.clip.index import floor_us
from annotate.clip.packets import UNKNOWN, PacketTable
from annotate.clip.shape import PictureShape

ClipMaker = Callable[[str], Path]
N = 40


def index_of(ticks: list[int], time_base: Fraction = Fraction(1, 30_000)) -> ClipIndex:
    """An index of frames at these times, in coding order, without a file."""
    n = len(ticks)
    times, blank = np.array(ticks, dtype=np.int64), np.zeros(n, dtype=np.int64)
    table = PacketTable(times, times, blank, blank, blank + 1, np.ones(n, dtype=np.uint8))
    return ClipIndex(
        table, np.arange(n), times - times[0], int(times[-1] - times[0]) + 1000, time_base,
        PictureShape(64, 48), "h264", "mov",
    )  # fmt: skip


rising_times = st.lists(st.integers(20, 100_000), min_size=1, max_size=60).map(
    lambda gaps: [0, *np.cumsum(gaps).tolist()]
)


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        ("constant.mp4", {}),
        ("variable.mp4", {"times": jittered_times(N, 3)}),
        ("late.mp4", {"times": jittered_times(N, 4), "start_ticks": 45_017}),
        ("variable.ts", {"times": [3 * t for t in jittered_times(N, 5)],
                         "time_base": Fraction(1, 90_000), "start_ticks": 900_001}),
        ("variable.mkv", {"times": jittered_times(N, 6, 33), "time_base": Fraction(1, 1000)}),
        ("hevc.mp4", {"codec": "libx265", "times": jittered_times(N, 8)}),
    ],
)  # fmt: skip
def test_times_are_the_written_ones_to_the_microsecond(
    name: str, changes: dict[str, object], tmp_path: Path
) -> None:
    recipe = Recipe(**{"n_frames": N, "width": 128, "height": 96, **changes})  # type: ignore[arg-type]
    written = make_clip(tmp_path / name, recipe)
    index = build_index(tmp_path / name)
    exact_s = [(t - written[0]) * recipe.time_base for t in written]
    assert index.times_us.tolist() == [int(t * 1_000_000) for t in exact_s]
    assert [t * index.time_base for t in (index.pts - index.pts[0]).tolist()] == exact_s
    assert not index.is_order_decoded


def test_a_constant_rate_clip_states_its_rate_and_length(tmp_path: Path) -> None:
    """50 frames at 25 a second last 2 s."""
    make_clip(tmp_path / "a.mp4", n_frames=50, fps=Fraction(25), width=128, height=96)
    index = build_index(tmp_path / "a.mp4")
    assert (index.n_frames, index.duration_us, index.fps_mean) == (50, 2_000_000, 25)
    assert (index.codec, index.is_variable_rate, index.is_complete) == ("h264", False, True)


def test_a_rounded_clock_is_not_taken_for_a_variable_rate(tmp_path: Path) -> None:
    """At 30 a second, milliseconds give steps of 33 and 34."""
    make_clip(tmp_path / "a.mkv", n_frames=30, width=128, height=96)
    make_clip(tmp_path / "b.mkv", n_frames=30, width=128, height=96, times=jittered_times(30, 1))
    assert not build_index(tmp_path / "a.mkv").is_variable_rate
    assert build_index(tmp_path / "b.mkv").is_variable_rate


def test_pictures_before_an_edit_list_begins_are_decoded_and_not_shown(clip_of: ClipMaker) -> None:
    """Six pictures lie before time 0."""
    index = build_index(clip_of("edit_list.mp4"))
    assert int(index.packets.is_hidden.sum()) == 6
    assert index.n_frames == len(index.packets) - 6
    assert index.times_us[0] == 0


def test_a_file_without_presentation_times_is_ordered_by_decoding(clip_of: ClipMaker) -> None:
    index = build_index(clip_of("h264_without_times.avi"))
    assert index.is_order_decoded
    assert index.times_us.tolist() == [n * 1_000_000 // 30 for n in range(index.n_frames)]


def test_a_clock_that_starts_again_is_continued(tmp_path: Path) -> None:
    """Two transport streams of 30 and 20 frames, one after the other in one file."""
    small = {"width": 128, "height": 96}
    make_clip(tmp_path / "1.ts", n_frames=30, start_ticks=600_000, **small)
    make_clip(tmp_path / "2.ts", n_frames=20, first_number=30, **small)
    joined = tmp_path / "joined.ts"
    joined.write_bytes((tmp_path / "1.ts").read_bytes() + (tmp_path / "2.ts").read_bytes())
    index = build_index(joined)
    assert index.n_frames == 50
    assert index.times_us.tolist() == [n * 1_000_000 // 30 for n in range(50)]
    with ClipReader(joined, index) as reader:
        assert [read_number(reader.frame(n).rgb()) for n in (45, 3, 30, 29)] == [45, 3, 30, 29]


def test_times_that_repeat_keep_every_frame(tmp_path: Path) -> None:
    """At 1667 frames a second, milliseconds repeat."""
    path = tmp_path / "fast.mkv"
    times = [60 * n for n in range(N)]
    make_clip(path, n_frames=N, width=128, height=96, times=times, time_base=Fraction(1, 100_000))
    index = build_index(path)
    assert index.is_order_decoded
    assert (np.diff(index.times_us) == 0).any()
    with ClipReader(path, index, 1 << 16) as reader:
        asked = [7, 31, 8, 30, 0, 39]
        assert [read_number(reader.frame(n).rgb()) for n in asked] == asked


def test_a_stream_cut_at_its_beginning_counts_from_the_first_picture_that_decodes(
    tmp_path: Path,
) -> None:
    """From packet 30 on, a group of 24 begins at 48; what leads into it refers to lost pictures."""
    make_clip(tmp_path / "whole.ts", n_frames=90, width=128, height=96)
    remux(tmp_path / "whole.ts", tmp_path / "cut.ts", keep=lambda ordinal, _: ordinal >= 30)
    with ClipReader(tmp_path / "cut.ts") as reader:
        numbers = [read_number(frame.rgb()) for frame in reader.frames()]
        assert not any(frame.is_stand_in for frame in reader.frames())
    assert numbers == list(range(48, 90))


@given(rising_times, st.integers(-(10**6), 10**10))
def test_number_at_is_the_last_frame_begun(ticks: list[int], time_us: int) -> None:
    index = index_of(ticks)
    number = index.number_at(time_us)
    begun = [n for n, t in enumerate(index.times_us.tolist()) if t <= time_us]
    assert number == (begun[-1] if begun else 0)


@given(rising_times)
def test_number_at_undoes_time_of(ticks: list[int]) -> None:
    index = index_of(ticks)
    assert all(index.number_at(index.time_of(n)) == n for n in range(index.n_frames))
    assert index.number_at(index.duration_us + 10**9) == index.n_frames - 1


@pytest.mark.parametrize("number", [-1, 3])
def test_time_of_a_frame_that_is_not_there_is_refused(number: int) -> None:
    with pytest.raises(IndexError):
        index_of([0, 10, 20]).time_of(number)


@given(
    st.lists(st.integers(0, 10**15), min_size=1, max_size=20),
    st.sampled_from([Fraction(1, 90_000), Fraction(1001, 30_000), Fraction(1, 10**9), Fraction(7)]),
)
def test_microseconds_are_exact_and_rounded_down(ticks: list[int], time_base: Fraction) -> None:
    exact = [int(t * time_base * 1_000_000) for t in ticks if t * time_base < 10**12]
    kept = np.array([t for t in ticks if t * time_base < 10**12], dtype=np.int64)
    assert floor_us(kept, time_base).tolist() == exact


def test_a_kept_index_reads_back_the_same(clip_of: ClipMaker) -> None:
    index = build_index(clip_of("variable_rate.mp4"))
    again = ClipIndex.from_bytes(index.to_bytes())
    assert again.to_bytes() == index.to_bytes()
    assert again.times_us.tolist() == index.times_us.tolist()
    assert (again.shape, again.codec, again.time_base) == (
        index.shape,
        index.codec,
        index.time_base,
    )
    with ClipReader(clip_of("variable_rate.mp4"), again) as reader:
        assert read_number(reader.frame(17).rgb()) == 17


@given(st.binary(max_size=300))
def test_foreign_bytes_are_no_index(content: bytes) -> None:
    with pytest.raises(ValueError, match="clip index"):
        ClipIndex.from_bytes(content)


KEPT = index_of([0, 1000, 2500]).to_bytes()


@given(st.integers(0, len(KEPT) - 1), st.integers(1, 255))
def test_a_flipped_byte_is_noticed(at: int, by: int) -> None:
    damaged = bytearray(KEPT)
    damaged[at] ^= by
    with pytest.raises(ValueError, match="clip index"):
        ClipIndex.from_bytes(bytes(damaged))


@given(st.integers(0, len(KEPT) - 1))
def test_a_cut_index_is_noticed(length: int) -> None:
    with pytest.raises(ValueError, match="clip index"):
        ClipIndex.from_bytes(KEPT[:length])


def _resealed(**changes: object) -> bytes:
    """An index whose seal is right and whose content is not."""
    start = len(b"clip-index\0") + 32
    with np.load(io.BytesIO(KEPT[start:])) as archive:
        arrays = {name: archive[name] for name in archive.files}
    arrays.update(changes)  # type: ignore[arg-type]
    file = io.BytesIO()
    np.savez(file, **{k: v for k, v in arrays.items() if v is not None})  # type: ignore[arg-type]
    body = file.getvalue()
    return KEPT[: start - 32] + hashlib.sha256(body).digest() + body


@pytest.mark.parametrize(
    "changes",
    [
        {"ordinals": np.array([0, 1, 3])},
        {"ordinals": np.array([0, 1, 1])},
        {"ordinals": np.array([], dtype=np.int64)},
        {"ticks": np.array([0, 5, 4])},
        {"ticks": np.array([1, 5, 9])},
        {"ticks": np.array([0.0, 1.0, 2.0])},
        {"pts": np.zeros((3, 1), dtype=np.int64)},
        {"pos": np.zeros(2, dtype=np.int64)},
        {"flags": np.array([object()] * 3)},
        {"facts": np.frombuffer(b"{}", dtype=np.uint8)},
        {"facts": np.frombuffer(b"[1", dtype=np.uint8)},
        {"facts": None},
    ],
    ids=[
        "gap",
        "twice",
        "empty",
        "falling",
        "late",
        "real",
        "flat",
        "short",
        "objects",
        "no-facts",
        "torn-facts",
        "facts-gone",
    ],
)
def test_an_index_that_contradicts_itself_is_refused(changes: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="clip index"):
        ClipIndex.from_bytes(_resealed(**changes))


def test_indexing_can_be_called_off(clip_of: ClipMaker) -> None:
    called_off = threading.Event()
    called_off.set()
    with pytest.raises(ReadingStopped):
        build_index(clip_of("b_frames.mp4"), cancel=called_off)


def test_unknown_times_have_a_mark_of_their_own() -> None:
    assert np.iinfo(np.int64).min == UNKNOWN
