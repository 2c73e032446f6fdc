"""A reader as the player uses it: filled from another thread, key pictures, rough steps."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from clip_kinds import FIRST_SHOWN, RECIPES
from numbered_clips import make_clip, read_number

from annotate.clip import ClipReader, Framing, ReadingStopped, build_index
from annotate.errors import UserFacingError

ClipMaker = Callable[[str], Path]
SOME_KINDS = ["b_frames.mp4", "h264_open_groups.ts", "hevc_open_groups.mp4", "mpeg2.ts",
              "mjpeg.avi", "h264_intra_refresh.ts", "edit_list.mp4"]  # fmt: skip
WITH_UNREFERENCED = {"b_frames.mp4", "h264_open_groups.ts", "hevc_open_groups.mp4", "mpeg2.ts",
                     "edit_list.mp4"}  # fmt: skip
SMALL = {"width": 128, "height": 96}
ROOM = 64 << 20


def in_thread(deed: Callable[[], None]) -> threading.Thread:
    thread = threading.Thread(target=deed)
    thread.start()
    return thread


@pytest.mark.parametrize("kind", SOME_KINDS)
def test_what_another_thread_filled_is_at_hand_and_exact(kind: str, clip_of: ClipMaker) -> None:
    first = FIRST_SHOWN.get(kind, 0)
    with ClipReader(clip_of(kind), cache_bytes=ROOM) as reader:
        in_thread(lambda: reader.fill(20, 45)).join()
        assert all(reader.is_at_hand(n) for n in range(20, 46))
        for number in range(45, 19, -1):
            assert read_number(reader.frame(number).rgb()) == number + first


def test_frames_asked_for_while_another_thread_fills_are_exact(clip_of: ClipMaker) -> None:
    with ClipReader(clip_of("h264_one_group.mp4"), cache_bytes=ROOM) as reader:
        thread = in_thread(lambda: reader.fill(0, 63))
        asked = [63, 5, 40, 39, 38, 12, 62, 0, 30, 31, 32]
        got = [read_number(reader.frame(n).rgb()) for n in asked]
        thread.join()
    assert got == asked


def test_filling_past_the_room_keeps_what_is_near_the_head(clip_of: ClipMaker) -> None:
    bound = 20 * 256 * 192 * 3 // 2  # the decoders need all but what is left in any case
    with ClipReader(clip_of("b_frames.mp4"), cache_bytes=bound) as reader:
        reader.focus(30, -1)
        reader.fill(0, 63)
        kept = [n for n in range(64) if reader.is_at_hand(n)]
        assert reader._cache.n_bytes <= bound // 2
        assert {26, 27, 28, 29, 30} <= set(kept)


def test_filling_that_is_called_off_stops_and_can_be_taken_up_again(clip_of: ClipMaker) -> None:
    with ClipReader(clip_of("h264_one_group.mp4"), cache_bytes=ROOM) as reader:
        asked = iter(range(9))
        with pytest.raises(ReadingStopped):
            reader.fill(0, 63, cancel=lambda: next(asked, None) is None)
        assert not reader.is_at_hand(40)
        reader.fill(-5, 900)
        assert all(reader.is_at_hand(n) for n in range(64))
        assert read_number(reader.frame(40).rgb()) == 40


@pytest.mark.parametrize("kind", sorted(RECIPES))
def test_a_key_picture_is_the_nearest_one_before(kind: str, clip_of: ClipMaker) -> None:
    index = build_index(clip_of(kind))
    keys = sorted(n for n in index.number_of_packet[index.key_ordinals].tolist() if n >= 0)
    first = FIRST_SHOWN.get(kind, 0)
    with ClipReader(clip_of(kind), index) as reader:
        for number in (index.n_frames - 1, 0, 33, 24, 23):
            frame = reader.key_frame(number)
            before = [n for n in keys if n <= number]
            near = {before[-1] if before else number}
            if kind == "h264_intra_refresh.ts":  # none is whole by itself, but may be at hand
                near.add(number)
            assert frame.number in near
            assert frame.time_us == index.time_of(frame.number)
            assert read_number(frame.rgb()) == frame.number + first
            np.testing.assert_array_equal(frame.rgb(), reader.frame(frame.number).rgb())


@pytest.mark.parametrize("kind", SOME_KINDS)
def test_referenced_frames_rise_and_are_exact(kind: str, clip_of: ClipMaker) -> None:
    with ClipReader(clip_of(kind), cache_bytes=0) as reader:
        number, seen = 0, []
        while number < reader.index.n_frames:
            frame = reader.referenced(number)
            assert frame.number >= number
            assert read_number(frame.rgb()) == frame.number + FIRST_SHOWN.get(kind, 0)
            seen.append(frame.number)
            number = frame.number + 1
        assert read_number(reader.frame(50).rgb()) == 50 + FIRST_SHOWN.get(kind, 0)
    assert (len(seen) < reader.index.n_frames) == (kind in WITH_UNREFERENCED)


def test_a_frame_left_out_on_the_way_is_still_given(clip_of: ClipMaker) -> None:
    with ClipReader(clip_of("mpeg2.ts"), cache_bytes=0) as reader:
        for number in (7, 19, 30):
            reader.referenced(number)
            for other in (number + 1, number + 2, number + 3):
                assert read_number(reader.frame(other).rgb()) == other


def test_frames_decoded_ahead_are_the_same(clip_of: ClipMaker) -> None:
    with ClipReader(clip_of("b_frames.mp4")) as reader:
        assert [read_number(f.rgb()) for f in reader.frames(3, ahead=4)] == list(range(3, 64))
        some = reader.frames(0, ahead=3)
        assert next(some).number == 0
        some.close()
        assert reader.frame(9).number == 9
        cancelled = threading.Event()
        some = reader.frames(0, cancelled, ahead=2)
        assert next(some).number == 0
        cancelled.set()
        with pytest.raises(ReadingStopped):
            list(some)


def blanked(path: Path, target: Path, first: int, last: int) -> None:
    """Overwrite the packets from one to another with zeros."""
    index, content = build_index(path), bytearray(path.read_bytes())
    for ordinal in range(first, last):
        start, size = int(index.packets.pos[ordinal]), int(index.packets.size[ordinal])
        content[start : start + size] = bytes(size)
    target.write_bytes(content)


def test_long_damage_costs_little_and_shows_what_is_before_it(tmp_path: Path) -> None:
    whole, path = tmp_path / "a.mp4", tmp_path / "b.mp4"
    make_clip(whole, n_frames=240, gop=10, **SMALL)
    blanked(whole, path, 30, 220)
    advanced = 0
    with ClipReader(path, build_index(whole)) as reader:
        decoder = reader._seeker._decoder
        plain = decoder.advance

        def counted(skip_below: int = 0) -> object:
            nonlocal advanced
            advanced += 1
            return plain(skip_below)

        decoder.advance = counted  # type: ignore[method-assign, assignment]
        frames = [reader.frame(n) for n in (*range(100, 160), 200, 60, 150)]
        assert all(f.is_stand_in for f in frames)
        assert [f.number for f in frames[:3]] == [100, 101, 102]
        assert read_number(frames[0].rgb()) is not None
        assert read_number(reader.frame(235).rgb()) == 235
        assert read_number(reader.frame(8).rgb()) == 8
    assert advanced < 63 * 60


def test_a_clip_wrecked_since_it_was_indexed_says_so_in_a_sentence(tmp_path: Path) -> None:
    whole, path = tmp_path / "a.mp4", tmp_path / "b.mp4"
    make_clip(whole, n_frames=200, gop=10, **SMALL)
    blanked(whole, path, 0, 200)
    with ClipReader(path, build_index(whole)) as reader:
        for number in (0, 120, 199, 120):
            with pytest.raises(UserFacingError, match=r"b\.mp4 is damaged"):
                reader.frame(number)


def test_a_size_that_changes_in_mid_file_is_shown_throughout(tmp_path: Path) -> None:
    """Two transport streams end to end, as a recorder does when its input changes."""
    small, large = tmp_path / "a.ts", tmp_path / "b.ts"
    make_clip(small, n_frames=30, width=256, height=192, b_frames=0)
    make_clip(large, n_frames=30, width=512, height=384, b_frames=0, first_number=30,
              start_ticks=30 * 1000)  # fmt: skip
    both = tmp_path / "both.ts"
    both.write_bytes(small.read_bytes() + large.read_bytes())
    with ClipReader(both, cache_bytes=0) as reader:
        assert reader.index.n_frames == 60
        for number in (*range(60), 12, 47, 29, 30, 5, 59):
            frame = reader.frame(number)
            assert frame.picture.width == (256 if number < 30 else 512)
            assert read_number(frame.rgb()) == number
            assert read_number(frame.framed(Framing(320, 240))[..., 2::-1]) == number
            part = frame.framed(Framing(300, 300, (0.0, 0.0, 0.75, 0.75)))
            assert part.shape == (300, 300, 4)


@pytest.mark.parametrize("kind", ["h264_4k.mp4", "hevc_10_bit_4k.mkv"])
def test_seeks_in_2160_lines_are_exact(kind: str, clip_of: ClipMaker) -> None:
    with ClipReader(clip_of(kind), cache_bytes=40 << 20) as reader:
        assert reader.index.n_frames == 9
        for number in (8, 2, 3, 0, 6, 5):
            frame = reader.frame(number)
            assert read_number(frame.framed(Framing(480, 270))[..., 2::-1]) == number
        assert reader.key_frame(8).framed(Framing(480, 270)).shape == (270, 480, 4)


def test_windows_filled_one_before_the_other_are_all_at_hand(clip_of: ClipMaker) -> None:
    """As for running backward: the second window lies before the first."""
    with ClipReader(clip_of("b_frames.mp4"), cache_bytes=64 << 20) as reader:
        for first in (48, 32, 16, 0):
            reader.fill(first, first + 15)
            assert all(reader.is_at_hand(n) for n in range(first, 64))
