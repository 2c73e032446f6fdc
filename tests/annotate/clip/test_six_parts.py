"""A case of six parts of different sizes, rates and encodings, with a gap and an overlap."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest
from numbered_clips import jittered_times, make_clip, read_number

from annotate.clip import CasePart, CaseReader, build_index

S = 1_000_000
FPS = {"fps": Fraction(25), "time_base": Fraction(1, 25)}
KINDS: list[tuple[str, int, dict[str, object]]] = [
    ("1.mp4", 24, {"times": jittered_times(24, 3)}),
    ("2.mpg", 20, {"codec": "mpeg2video", "container": "vob", "b_frames": 2, "height": 144, **FPS}),
    ("3.mkv", 24, {"codec": "libvpx-vp9", "b_frames": 0, "width": 128}),
    ("4.mp4", 24, {"codec": "libx265", "width": 256, "height": 192, "rotation_deg": 90}),
    ("5.avi", 18, {"codec": "mjpeg", "pix_fmt": "yuvj420p", "b_frames": 0, **FPS}),
    ("6.ts", 24, {"container": "mpegts", "start_ticks": 900_000, "fps": Fraction(60)}),
]
REPEATED = 8
"""Frames of the fourth part that the third shows too."""


@pytest.fixture(scope="module")
def parts(tmp_path_factory: pytest.TempPathFactory) -> list[CasePart]:
    folder, first, made = tmp_path_factory.mktemp("six"), 0, []
    for name, n_frames, how in KINDS:
        if name.startswith("4"):
            first -= REPEATED
        size = {"width": 192, "height": 96}
        make_clip(folder / name, n_frames=n_frames, first_number=first, **{**size, **how})
        first += n_frames
        index = build_index(folder / name)
        assert index.n_frames == n_frames, name
        lead_us = {"4": -index.time_of(REPEATED), "5": 2 * S}.get(name[0], 0)
        made.append(CasePart.whole(folder / name, index, lead_us))
    return made


def test_every_frame_of_six_unlike_parts_is_the_right_one(parts: list[CasePart]) -> None:
    with CaseReader(parts) as case:
        numbers = range(case.n_frames)
        assert case.n_frames == sum(n for _, n, _ in KINDS) - REPEATED
        assert [read_number(case.frame(n).frame.rgb()) for n in numbers] == list(numbers)
        assert [read_number(case.shown(n).frame.rgb()) for n in reversed(numbers)] == list(
            reversed(numbers)
        )
        assert case.clock.gaps[0][1] - case.clock.gaps[0][0] == 2 * S


def test_random_seeks_and_walks_over_the_joins_are_exact(parts: list[CasePart]) -> None:
    chance = random.Random(6)
    with CaseReader(parts) as case:
        for _ in range(60):
            number = chance.randrange(case.n_frames)
            time_us = chance.randrange(case.time_of(number), case.until_of(number))
            found = case.frame_at(time_us)
            assert (found.number, read_number(found.frame.rgb())) == (number, number)
            for _ in range(3):
                number = min(max(number + chance.choice((-1, 1)), 0), case.n_frames - 1)
                assert read_number(case.frame(number).frame.rgb()) == number
            assert len(case.open_parts) <= 2


def test_frames_are_made_ready_over_a_join(parts: list[CasePart]) -> None:
    with CaseReader(parts) as case:
        join = case.next_part_at(0, 1)
        assert join == 24
        case.focus(join - 3, 1)
        case.fill(join - 4, join + 4)
        assert all(case.is_at_hand(n) for n in range(join - 4, join + 5))
        assert [read_number(case.frame(n).frame.rgb()) for n in range(join - 4, join + 5)] == list(
            range(join - 4, join + 5)
        )
