"""A case's clips are read as one, by case time and by case-wide number."""

from __future__ import annotations

import random
from fractions import Fraction
from pathlib import Path

import pytest
from numbered_clips import jittered_times, make_clip, read_number

from annotate.clip import CaseReader, ClipIndex, build_index
from annotate.errors import UserFacingError

N_EACH = (40, 25, 30)
Clips = list[tuple[Path, ClipIndex]]


@pytest.fixture(scope="module")
def clips(tmp_path_factory: pytest.TempPathFactory) -> Clips:
    """Three parts of different rates, codecs and sizes; their numbers run on."""
    folder = tmp_path_factory.mktemp("case")
    make_clip(folder / "1.mp4", n_frames=40, width=128, height=96, times=jittered_times(40, 2))
    make_clip(
        folder / "2.mpg", n_frames=25, first_number=40, codec="mpeg2video", container="vob",
        b_frames=2, fps=Fraction(25), time_base=Fraction(1, 25), width=192, height=144,
    )  # fmt: skip
    make_clip(folder / "3.mkv", n_frames=30, first_number=65, width=128, height=96)
    return [(path, build_index(path)) for path in sorted(folder.iterdir())]


def test_numbers_run_through_all_clips(clips: Clips) -> None:
    with CaseReader(clips) as case:
        assert case.n_frames == sum(N_EACH)
        asked = random.Random(1).choices(range(case.n_frames), k=60)
        assert [read_number(case.frame(n).frame.rgb()) for n in asked] == asked


def test_times_run_through_all_clips(clips: Clips) -> None:
    lengths = [index.duration_us for _, index in clips]
    chance = random.Random(2)
    with CaseReader(clips) as case:
        assert case.clock.duration_us == sum(lengths)
        for _ in range(60):
            number = chance.randrange(case.n_frames)
            begins = case.time_of(number)
            ends = case.time_of(number + 1) if number + 1 < case.n_frames else sum(lengths)
            found = case.frame_at(chance.randrange(begins, ends))
            assert (found.number, found.time_us) == (number, begins)
            assert read_number(found.frame.rgb()) == number


@pytest.mark.parametrize(
    ("number", "place"),
    [(0, (0, 0)), (39, (0, 39)), (40, (1, 0)), (64, (1, 24)), (65, (2, 0)), (94, (2, 29))],
)
def test_a_number_is_located_in_its_clip(number: int, place: tuple[int, int], clips: Clips) -> None:
    with CaseReader(clips) as case:
        assert case.locate(number) == place
        assert (case.frame(number).ordinal, case.frame(number).frame.number) == place


def test_the_last_moment_of_a_clip_is_its_own_and_the_next_one_the_next_clips(clips: Clips) -> None:
    join = clips[0][1].duration_us
    with CaseReader(clips) as case:
        assert case.frame_at(join - 1).number == 39
        assert case.frame_at(join).number == 40
        assert case.frame_at(10**12).number == 94


@pytest.mark.parametrize("number", [-1, 95])
def test_a_frame_outside_the_case_is_refused(number: int, clips: Clips) -> None:
    with CaseReader(clips) as case, pytest.raises(IndexError):
        case.frame(number)


def test_a_time_before_the_case_is_refused(clips: Clips) -> None:
    with CaseReader(clips) as case, pytest.raises(ValueError, match="before"):
        case.frame_at(-1)


def test_a_case_without_clips_has_nothing_to_read() -> None:
    with pytest.raises(ValueError, match="at least one clip"):
        CaseReader([])


def test_clips_are_opened_when_needed_so_a_lost_one_spares_the_rest(
    clips: Clips, tmp_path: Path
) -> None:
    lost = [clips[0], (tmp_path / "lost.mpg", clips[1][1]), clips[2]]
    with CaseReader(lost) as case:
        assert read_number(case.frame(70).frame.rgb()) == 70
        with pytest.raises(UserFacingError, match=r"lost\.mpg is not there"):
            case.frame(50)
        assert read_number(case.frame(5).frame.rgb()) == 5
