"""A case's clips are read as one, by case time and by case-wide number."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from numbered_clips import jittered_times, make_clip, read_number

from annotate.clip import CasePart, CaseReader, ClipIndex, build_index
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


def test_frames_that_repeat_the_part_before_have_no_number(clips: Clips, tmp_path: Path) -> None:
    again = tmp_path / "2.mp4"
    make_clip(again, n_frames=25, first_number=30, width=96, height=96)
    index = build_index(again)
    first = CasePart.whole(*clips[0])
    second = CasePart.whole(again, index, -index.time_of(10))
    with CaseReader([first, second]) as case:
        assert case.n_frames == 40 + 15
        assert [read_number(case.frame(n).frame.rgb()) for n in range(case.n_frames)] == list(
            range(55)
        )
        assert case.locate(40) == (1, 10)
        assert case.time_of(40) == case.until_of(39) == clips[0][1].duration_us
        assert case.clock.duration_us == clips[0][1].duration_us + index.duration_us - (
            index.time_of(10)
        )


def test_a_gap_shows_the_last_frame_before_it_and_numbers_run_on(clips: Clips) -> None:
    second = CasePart.whole(*clips[1], lead_us=4_200_000)
    with CaseReader([clips[0], second]) as case:
        end = clips[0][1].duration_us
        assert case.n_frames == 65
        assert case.frame_at(end + 4_199_999).number == 39
        assert case.frame_at(end + 4_200_000).number == 40
        assert case.until_of(39) == end
        assert case.time_of(40) == end + 4_200_000
        assert case.clock.gaps == ((end, end + 4_200_000),)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.integers(-600_000, 5_000_000), st.integers(-700_000, 2_000_000))
def test_every_number_has_a_time_and_every_time_its_number(
    clips: Clips, lead_2: int, lead_3: int
) -> None:
    parts = [CasePart.whole(*clips[0]), CasePart.whole(*clips[1], lead_us=lead_2)]
    try:
        case = CaseReader([*parts, CasePart.whole(*clips[2], lead_us=lead_3)])
    except ValueError:
        return  # the overlap is longer than what is left of the second part
    times = [case.time_of(n) for n in range(case.n_frames)]
    assert all(a < b for a, b in pairwise(times))
    assert [case.number_at(t) for t in times] == list(range(case.n_frames))
    ends = [case.until_of(n) for n in range(case.n_frames)]
    assert [case.number_at(t - 1) for t in ends] == list(range(case.n_frames))
    assert all(end <= following for end, following in zip(ends, times[1:], strict=False))
    assert ends[-1] == case.clock.duration_us


def test_a_part_that_is_lost_and_was_never_indexed_keeps_its_place(clips: Clips) -> None:
    def lost() -> ClipIndex:
        raise UserFacingError("The second part is not there.")

    length = clips[1][1].duration_us
    parts = [clips[0], CasePart(Path("gone.mpg"), lost, 25, length), clips[2]]
    with CaseReader(parts) as case:
        assert case.n_frames == 95
        times = [case.time_of(n) for n in range(95)]
        assert all(a < b for a, b in pairwise(times))
        assert [case.number_at(t) for t in times] == list(range(95))
        for number in range(40, 65):
            with pytest.raises(UserFacingError, match="second part is not there"):
                case.frame(number)
        assert read_number(case.frame(65).frame.rgb()) == 65
        assert read_number(case.frame(39).frame.rgb()) == 39


def test_parts_are_opened_late_and_two_at_most_stay_open(clips: Clips) -> None:
    asked = []

    def index_of(place: int) -> ClipIndex:
        asked.append(place)
        return clips[place][1]

    def part(place: int) -> CasePart:
        path, index = clips[place]
        return CasePart(path, lambda: index_of(place), index.n_frames, index.duration_us)

    with CaseReader([part(place) for place in range(3)]) as case:
        assert (case.n_frames, case.open_parts, asked) == (95, (), [])
        for number, opened in ((70, (2,)), (69, (2,)), (41, (2, 1)), (66, (1, 2)), (5, (2, 0))):
            assert read_number(case.frame(number).frame.rgb()) == number
            assert case.open_parts == opened
    assert sorted(asked) == [0, 1, 2]
    assert case.open_parts == ()


def test_the_neighbouring_part_is_found_from_any_frame(clips: Clips) -> None:
    with CaseReader(clips) as case:
        assert [case.next_part_at(n, 1) for n in (0, 39, 40, 94)] == [40, 40, 65, None]
        assert [case.next_part_at(n, -1) for n in (0, 40, 64, 94)] == [None, 39, 39, 64]


def test_how_many_pictures_are_kept_follows_from_their_size(clips: Clips) -> None:
    bound = 256 << 20
    with CaseReader(clips, cache_bytes=bound) as case:
        for number, pixels in ((0, 128 * 96), (50, 192 * 144)):
            most = bound // (pixels * 3 // 2)
            kept = case.n_cached_at_most(number)
            assert most // 2 < kept < most
            case.set_aside("else", 64 << 20)
            assert case.n_cached_at_most(number) <= kept - most // 4
            case.set_aside("else", 0)
            assert case.n_cached_at_most(number) == kept


def test_a_part_of_which_fewer_frames_are_indexed_by_now_ends_with_its_last(clips: Clips) -> None:
    path, index = clips[0]
    told = CasePart(path, index, index.n_frames + 2, index.duration_us)
    with CaseReader([told, clips[1]]) as case:
        assert [read_number(case.frame(n).frame.rgb()) for n in (39, 40, 41, 42)] == [
            39,
            39,
            39,
            40,
        ]
