"""A reader's state: its cache, calling off, damage, and what it leaves behind."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numbered_clips import make_clip, read_number

from annotate.clip import ClipReader, ReadingStopped, build_index

ClipMaker = Callable[[str], Path]
SMALL = {"width": 128, "height": 96}


def test_a_step_back_is_answered_from_what_is_kept(clip_of: ClipMaker) -> None:
    with ClipReader(clip_of("b_frames.mp4")) as reader:
        first = reader.frame(40)
        reader.frame(41)
        assert reader.frame(40).picture is first.picture


def test_the_pictures_kept_stay_within_their_bound(clip_of: ClipMaker) -> None:
    for bound, most in ((1_000_000, 500_000), (16 << 20, 8 << 20)):  # the rest is the decoder's
        with ClipReader(clip_of("b_frames.mp4"), cache_bytes=bound) as reader:
            sizes = [reader._cache.n_bytes for _ in reader.frames()]
        assert most // 8 < max(sizes) <= most


def test_a_reader_without_room_still_gives_every_frame(clip_of: ClipMaker) -> None:
    with ClipReader(clip_of("h264_open_groups.ts"), cache_bytes=0) as reader:
        asked = [50, 49, 10, 11, 9, 63, 0]
        assert [read_number(reader.frame(n).rgb()) for n in asked] == asked


@pytest.mark.parametrize("number", [-1, 64])
def test_a_frame_that_is_not_there_is_refused(number: int, clip_of: ClipMaker) -> None:
    with ClipReader(clip_of("b_frames.mp4")) as reader, pytest.raises(IndexError):
        reader.frame(number)


def test_a_time_outside_the_clip_gives_its_first_or_last_frame(clip_of: ClipMaker) -> None:
    with ClipReader(clip_of("b_frames.mp4")) as reader:
        assert reader.frame_at(-5).number == 0
        assert reader.frame_at(10**12).number == reader.index.n_frames - 1


def test_a_seek_that_is_called_off_stops_at_a_packet_and_spoils_nothing(
    clip_of: ClipMaker,
) -> None:
    with ClipReader(clip_of("h264_one_group.mp4"), cache_bytes=0) as reader:
        for stop_after in (1, 2, 7, 20):
            asked = iter(range(stop_after))
            with pytest.raises(ReadingStopped):
                reader.frame(60, cancel=lambda asked=asked: next(asked, None) is None)
            assert reader._seeker.next_ordinal < 60
            assert read_number(reader.frame(15).rgb()) == 15
            assert read_number(reader.frame(21).rgb()) == 21


def test_a_set_event_calls_a_seek_off(clip_of: ClipMaker) -> None:
    event = threading.Event()
    event.set()
    with ClipReader(clip_of("b_frames.mp4")) as reader, pytest.raises(ReadingStopped):
        reader.frame(3, cancel=event)


def test_frames_stay_whole_after_the_reader_has_gone_on_and_closed(clip_of: ClipMaker) -> None:
    with ClipReader(clip_of("b_frames.mp4"), cache_bytes=0) as reader:
        frame = reader.frame(5)
        before = frame.rgb()
        for _ in reader.frames():
            pass
    np.testing.assert_array_equal(frame.rgb(), before)
    assert read_number(before) == 5


def test_readers_in_two_threads_do_not_disturb_each_other(clip_of: ClipMaker) -> None:
    path, index = clip_of("b_frames.mp4"), build_index(clip_of("b_frames.mp4"))
    got: dict[int, list[int | None]] = {}

    def read(step: int) -> None:
        with ClipReader(path, index, 0) as reader:
            asked = [n * step % index.n_frames for n in range(40)]
            got[step] = [read_number(reader.frame(n).rgb()) for n in asked]

    threads = [threading.Thread(target=read, args=(step,)) for step in (7, 11)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert got == {step: [n * step % index.n_frames for n in range(40)] for step in (7, 11)}


CUT_KINDS = {
    "faststart.mp4": {"muxer_options": {"movflags": "faststart"}},
    "pieces.mp4": {"muxer_options": {"movflags": "frag_keyframe+empty_moov"}},
    "stream.ts": {},
    "film.mkv": {},
    "sound.ts": {"audio": True},
}


@pytest.mark.parametrize("kind", sorted(CUT_KINDS))
def test_a_clip_that_breaks_off_plays_as_far_as_it_goes_and_says_so(
    kind: str, tmp_path: Path
) -> None:
    whole, cut = tmp_path / kind, tmp_path / f"cut_{kind}"
    make_clip(whole, n_frames=90, **SMALL, **CUT_KINDS[kind])
    content = whole.read_bytes()
    cut.write_bytes(content[: len(content) * 6 // 10 + 1])
    index = build_index(cut)
    with ClipReader(cut, index) as reader:
        frames = list(reader.frames())
    whole_ones = [read_number(frame.rgb()) for frame in frames[:-4]]
    assert 30 < index.n_frames < 70
    assert whole_ones == list(range(index.n_frames - 4))
    assert not index.is_complete
    assert f"cut_{kind} breaks off" in index.damage
    assert str(tmp_path) not in index.damage
    assert build_index(whole).damage == ""


def test_damage_in_the_middle_leaves_the_rest_exact(tmp_path: Path) -> None:
    """Packets 30 to 33 are overwritten; the next group begins at frame 48."""
    whole, path = tmp_path / "a.mp4", tmp_path / "b.mp4"
    make_clip(whole, n_frames=90, **SMALL)
    index = build_index(whole)
    content = bytearray(whole.read_bytes())
    for ordinal in range(30, 34):
        start, size = int(index.packets.pos[ordinal]), int(index.packets.size[ordinal])
        content[start : start + size] = bytes(size)
    path.write_bytes(content)
    with ClipReader(path) as reader:
        frames = {n: reader.frame(n) for n in (80, 10, 35, 47, 48, 26, 89, 31)}
    right = {n for n, frame in frames.items() if read_number(frame.rgb()) == n}
    assert {80, 10, 48, 89}.issubset(right)
    assert [frame.number for frame in frames.values()] == list(frames)


NOISY = """
import sys
from annotate.clip import ClipReader, build_index, check_clip
from annotate.errors import UserFacingError
for path in sys.argv[1:]:
    try:
        check_clip(path)
        with ClipReader(path) as reader:
            for frame in reader.frames():
                frame.fitted(64, 48)
    except UserFacingError:
        pass
"""


def test_damaged_clips_put_nothing_on_the_terminal(tmp_path: Path) -> None:
    make_clip(tmp_path / "a.mp4", **SMALL, muxer_options={"movflags": "faststart"})
    content = bytearray((tmp_path / "a.mp4").read_bytes())
    content[len(content) // 2 : len(content) // 2 + 4000] = bytes(range(250)) * 16
    (tmp_path / "b.mp4").write_bytes(content)
    (tmp_path / "c.mp4").write_bytes(content[: len(content) // 2])
    (tmp_path / "d.mp4").write_bytes(b"no film at all" * 500)
    names = [str(tmp_path / name) for name in ("a.mp4", "b.mp4", "c.mp4", "d.mp4")]
    done = subprocess.run(
        [sys.executable, "-c", NOISY, *names], capture_output=True, text=True, timeout=120
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="the system lists no open files")
def test_closing_lets_go_of_the_file(clip_of: ClipMaker) -> None:
    path = clip_of("mpeg2.mpg")

    def is_open() -> bool:
        links = Path("/proc/self/fd").iterdir()
        return any(link.exists() and link.resolve() == path.resolve() for link in links)

    reader = ClipReader(path)
    assert is_open()
    reader.frame(20)
    reader.close()
    assert not is_open()
