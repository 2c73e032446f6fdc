"""Interlaced pictures as shown: no comb, both moments, still detail kept, always the same."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from interlaced_clips import make_interlaced
from numbered_clips import blocks_of, make_clip, paint, read_number
from numpy.typing import NDArray

from annotate.clip import CasePart, CaseReader, ClipReader, Frame, build_index

WIDTH, HEIGHT, N_FRAMES = 256, 192, 30
SPEED_PX = 3
KINDS = {
    "mpeg2_top.mpg": {"container": "vob"},
    "mpeg2_bottom.mpg": {"container": "vob", "is_top_first": False},
    "h264_top.mp4": {"codec": "libx264"},
    "h264_bottom.ts": {"codec": "libx264", "is_top_first": False},
    "h264_10_bit.mkv": {"codec": "libx264", "layout": "yuv420p10le"},
    "prores_top.mov": {"codec": "prores_ks", "layout": "yuv422p10le"},
}


@cache
def codes() -> list[int]:
    """A number for each moment such that no block is dark and bright by turns four times running.

    What alternates from field to field cannot be told from lines that stand still.
    """
    chosen: list[int] = []
    bits: list[NDArray[np.bool_]] = []
    for code in range(1, 4000):
        lit = np.array(blocks_of(code), dtype=bool)
        before = bits[-3:]
        if (
            len(before) == 3
            and ((lit == before[1]) & (before[0] == before[2]) & (lit != before[2])).any()
        ):
            continue
        chosen.append(code)
        bits.append(lit)
        if len(chosen) == 2 * N_FRAMES:
            return chosen
    raise AssertionError("too few codes")


def numbered(moment: int) -> NDArray[np.uint8]:
    return paint(codes()[moment], WIDTH, HEIGHT)


def moment_of(frame: Frame) -> int | None:
    number = read_number(frame.rgb())
    return codes().index(number) if number in codes() else None


def moving_edge(moment: int) -> NDArray[np.uint8]:
    """Bright on the left up to an edge that moves; stripes of two lines that stand still above."""
    picture = np.full((HEIGHT, WIDTH, 3), 40, np.uint8)
    picture[:, : 60 + SPEED_PX * moment] = 220
    picture[: HEIGHT // 3] = np.where(np.arange(HEIGHT // 3) // 2 % 2, 200, 60)[:, None, None]
    return picture


def comb(luma: NDArray[np.uint8]) -> float:
    """How far each line lies from the mean of its neighbours, over the moving part."""
    lines = luma[HEIGHT // 3 + 8 :].astype(int)
    return float(np.abs(2 * lines[1:-1] - lines[:-2] - lines[2:]).mean())


def planes(frame: Frame) -> list[bytes]:
    return [bytes(plane) for plane in frame.picture.planes]


@pytest.fixture(scope="module", params=KINDS)
def clip(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("fields") / request.param
    make_interlaced(path, numbered, N_FRAMES, **KINDS[request.param])
    return path


@pytest.fixture(scope="module", params=[True, False], ids=["top_first", "bottom_first"])
def edge_clip(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("edge") / "edge.mpg"
    make_interlaced(path, moving_edge, N_FRAMES, is_top_first=request.param, container="vob")
    return path


def test_each_field_shows_its_own_moment(clip: Path) -> None:
    with ClipReader(clip) as reader:
        assert reader.is_interlaced
        assert reader.index.n_frames == N_FRAMES
        for number in range(N_FRAMES):
            moments = [moment_of(reader.shown(number, field=k)) for k in (0, 1)]
            assert moments == [2 * number, 2 * number + 1], number


def test_a_frame_is_shown_at_its_first_moment_under_its_own_number_and_time(clip: Path) -> None:
    with ClipReader(clip) as reader:
        for number in (0, 7, N_FRAMES - 1):
            coded, shown = reader.frame(number), reader.shown(number)
            assert (shown.number, shown.time_us) == (number, coded.time_us)
            assert moment_of(shown) == 2 * number
            assert shown.picture.colorspace == coded.picture.colorspace
            assert shown.picture.color_range == coded.picture.color_range
            assert shown.picture.format.name == coded.picture.format.name
            assert shown.shape == coded.shape


def test_the_same_picture_is_shown_after_a_seek_a_step_and_in_play(clip: Path) -> None:
    index = build_index(clip)
    with ClipReader(clip, index) as reader:
        played = [planes(reader.shown(n)) for n in range(N_FRAMES)]
        second = [planes(reader.shown(n, field=1)) for n in range(N_FRAMES)]
    rng = np.random.default_rng(5)
    with ClipReader(clip, index, cache_bytes=1) as reader:
        for number in (0, N_FRAMES - 1, 1, N_FRAMES - 2, *rng.integers(0, N_FRAMES, 20).tolist()):
            assert planes(reader.shown(number)) == played[number], f"sought {number}"
        for number in (9, 8, 7, 8, 9, 10, 9):
            assert planes(reader.shown(number)) == played[number], f"stepped {number}"
        for number in (3, 4, 20, 4, 5):
            assert planes(reader.shown(number, field=1)) == second[number]
            assert planes(reader.shown(number, field=0)) == played[number]


def test_showing_leaves_the_coded_picture_as_it_was(clip: Path) -> None:
    with ClipReader(clip) as reader:
        before = planes(reader.frame(5))
        assert planes(reader.shown(5)) != before
        assert planes(reader.frame(5)) == before


def test_a_moving_edge_has_no_comb(edge_clip: Path) -> None:
    with ClipReader(edge_clip) as reader:
        for number in range(N_FRAMES):
            woven = comb(reader.frame(number).luma())
            whole = max(comb(reader.shown(number, field=k).luma()) for k in (0, 1))
            assert woven > 2, number
            assert whole < woven / 20, number


def test_an_edge_moves_evenly_from_field_to_field(edge_clip: Path) -> None:
    line = HEIGHT * 2 // 3
    with ClipReader(edge_clip) as reader:
        places = [
            int((reader.shown(n, field=k).luma()[at] < 128).argmax())
            for n in range(N_FRAMES)
            for k in (0, 1)
            for at in (line,)
        ]
    assert {after - before for before, after in pairwise(places)} <= {2, 3, 4}
    assert places[-1] - places[0] == pytest.approx(SPEED_PX * (2 * N_FRAMES - 1), abs=1)


def test_what_stands_still_keeps_its_lines(edge_clip: Path) -> None:
    """Stripes of two lines: a field alone could not tell them from grey."""
    with ClipReader(edge_clip) as reader:
        for number in (0, 1, 12, N_FRAMES - 1):
            coded = reader.frame(number).luma()[4 : HEIGHT // 3 - 8].astype(int)
            for field in (0, 1):
                shown = reader.shown(number, field=field).luma()[4 : HEIGHT // 3 - 8].astype(int)
                assert np.abs(shown - coded).mean() < 4, number
                assert np.ptp(shown, axis=0).min() > 100


def test_a_progressive_clip_is_shown_as_coded(tmp_path: Path) -> None:
    make_clip(tmp_path / "clip.mp4", n_frames=8)
    with ClipReader(tmp_path / "clip.mp4") as reader:
        assert not reader.is_interlaced
        for number in range(8):
            for field in (None, 0, 1):
                assert planes(reader.shown(number, field=field)) == planes(reader.frame(number))


@pytest.mark.parametrize("is_top_first", [True, False])
def test_a_clip_of_one_picture_shows_both_its_moments(is_top_first: bool, tmp_path: Path) -> None:
    make_interlaced(tmp_path / "one.mov", numbered, 1, is_top_first, "prores_ks", None,
                    "yuv422p10le")  # fmt: skip
    with ClipReader(tmp_path / "one.mov") as reader:
        assert reader.index.n_frames == 1
        assert [moment_of(reader.shown(0, field=k)) for k in (0, 1)] == [0, 1]


def test_a_damaged_neighbour_leaves_both_moments_right(tmp_path: Path) -> None:
    """Each ProRes picture stands for itself: only one is lost, and it is asked for as neighbour."""
    path = tmp_path / "clip.mov"
    make_interlaced(path, numbered, 6, True, "prores_ks", None, "yuv422p10le")
    index = build_index(path)
    content = bytearray(path.read_bytes())
    start, size = int(index.packets.pos[3]), int(index.packets.size[3])
    content[start : start + size] = bytes(size)
    path.write_bytes(content)
    with ClipReader(path, index) as reader:
        for number in (2, 4, 0, 1, 5):
            moments = [moment_of(reader.shown(number, field=k)) for k in (0, 1)]
            assert moments == [2 * number, 2 * number + 1], number
        assert reader.shown(3).is_stand_in
        assert moment_of(reader.shown(3)) == 4


def test_pictures_that_pass_by_quickly_have_no_comb_either(edge_clip: Path) -> None:
    with CaseReader([CasePart.whole(edge_clip, build_index(edge_clip))]) as reader:
        for number in range(0, N_FRAMES, 5):
            for found in (reader.key_frame(number), reader.referenced(number)):
                woven = comb(reader.frame(found.number).frame.luma())
                assert comb(found.frame.luma()) < woven / 20


def test_what_making_whole_pictures_holds_is_left_free_of_kept_ones(clip: Path) -> None:
    with ClipReader(clip, cache_bytes=256 << 20) as reader:
        assert reader.is_interlaced
        before = reader.n_kept_at_most
        reader.shown(5)
        assert before - 9 <= reader.n_kept_at_most <= before - 7
