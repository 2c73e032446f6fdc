"""Frames by number and by time, read from the pixels of the pictures that the command wrote."""

from __future__ import annotations

import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from command_line import CommandLine
from known_clips import TICKS_PER_S, US_PER_S, Known
from numbered_clips import read_number
from PIL import Image

N = 300
SINGLY = 12


def number_in(picture: Path) -> int | None:
    """The number that a picture carries, read with another decoder than the one that wrote it."""
    with Image.open(picture) as image:
        assert (image.format, image.mode, image.size) == ("PNG", "RGB", (160, 120))
        assert not image.info
        return read_number(np.asarray(image))


def asked(line: CommandLine, target: object, words: Sequence[object], to: Path) -> list[int]:
    """Number that each frame's answer names, once the picture was seen to carry it."""
    answers: list[dict[str, Any]] = line.ask("frame", target, *words, "--to", to)
    pictures = sorted(to.iterdir())
    seen = [number_in(path) for path in pictures]
    assert None not in seen
    assert seen == sorted(seen)  # the pictures sort by frame number
    assert seen == sorted({a["number"] for a in answers})
    return [a["number"] for a in answers]


def at(time_us: int) -> list[object]:
    return ["--at", f"{time_us // US_PER_S}.{time_us % US_PER_S:06d}"]


def test_the_clip_has_frames_out_of_order_and_an_uneven_rate(first: Known) -> None:
    with av.open(str(first.path)) as clip:
        kinds = {frame.pict_type for frame in clip.decode(video=0)}
    assert av.video.frame.PictureType.B in kinds
    assert len(set(np.diff(first.ticks))) > 20


def test_300_of_300_random_numbers_of_a_clip_give_their_frames(
    line: CommandLine, first: Known, out: Path
) -> None:
    numbers = random.Random(1).choices(range(len(first.ticks)), k=N)
    words = [word for n in numbers for word in ("--number", n)]
    answers = line.ask("frame", first.path, *words, "--to", out / "check")
    for n, answer in zip(numbers, answers, strict=True):
        assert answer["number"] == n
        assert answer["clip"] == "first.mp4"
        assert abs(answer["time_s"] - first.ticks[n] / TICKS_PER_S) < 1.001e-6
    assert asked(line, first.path, words, out / "pictures") == numbers
    assert not line.store.exists()


def test_300_of_300_random_times_of_a_clip_give_the_frames_shown_then(
    line: CommandLine, first: Known, out: Path
) -> None:
    draw = random.Random(2)
    times_us = [draw.randrange(first.starts_us[-1]) for _ in range(N - 100)]
    edges = [draw.randrange(1, len(first.ticks)) for _ in range(50)]
    times_us += [first.starts_us[n] for n in edges]  # a frame's first microsecond
    times_us += [first.starts_us[n] - 1 for n in edges]  # and the last one before it
    words = [word for time_us in times_us for word in at(time_us)]
    expected = [first.shown_at(time_us) for time_us in times_us]
    assert asked(line, first.path, words, out / "pictures") == expected


def test_single_calls_give_the_same_frames(line: CommandLine, first: Known, out: Path) -> None:
    draw = random.Random(3)
    for n in draw.choices(range(len(first.ticks)), k=SINGLY):
        line.ask("frame", first.path, "--number", n, "--to", out / "one.png")
        assert number_in(out / "one.png") == n
    for _ in range(SINGLY):
        time_us = draw.randrange(first.starts_us[-1])
        line.ask("frame", first.path, *at(time_us), "--to", out / "one.png")
        assert number_in(out / "one.png") == first.shown_at(time_us)
    assert [p.name for p in out.iterdir()] == ["one.png"]


@pytest.fixture
def join_us(line: CommandLine, case: str) -> int:
    """Case time at which the second part begins, from the caseload's own length of the parts."""
    whole = line.ask("caseload")["cases"][0]
    assert whole["case"] == case
    answer = line.ask("frame", case, "--number", 400, "--to", line.store.parent / "join.png")
    assert answer["clip"] == "second.mp4"
    return round(answer["time_s"] * US_PER_S)


def test_a_part_lasts_until_its_last_frame_has_been_shown(join_us: int, first: Known) -> None:
    steps_us = np.diff(first.starts_us)
    last_us = join_us - first.starts_us[-1]
    assert steps_us.min() <= last_us <= steps_us.max()


def test_300_of_300_random_numbers_of_a_case_of_two_parts_give_their_frames(
    line: CommandLine, case: str, join_us: int, first: Known, second: Known, out: Path
) -> None:
    numbers = [399, 400, 0, 799, *random.Random(4).choices(range(800), k=N - 4)]
    words = [word for n in numbers for word in ("--number", n)]
    answers = line.ask("frame", case, *words, "--to", out / "check")
    starts_us = [*first.starts_us, *(join_us + start for start in second.starts_us)]
    for n, answer in zip(numbers, answers, strict=True):
        assert answer["number"] == n
        assert answer["clip"] == ("first.mp4" if n < 400 else "second.mp4")
        assert round(answer["time_s"] * US_PER_S) == starts_us[n]
    assert asked(line, case, words, out / "pictures") == numbers


def test_300_of_300_random_times_of_a_case_give_the_frames_shown_then(
    line: CommandLine, case: str, join_us: int, first: Known, second: Known, out: Path
) -> None:
    draw = random.Random(5)
    end_us = join_us + second.starts_us[-1]
    times_us = [join_us - 1, join_us, join_us + 1, 0, end_us]
    times_us += [draw.randrange(end_us) for _ in range(N - len(times_us))]
    words = [word for time_us in times_us for word in at(time_us)]
    expected = [
        first.shown_at(t) if t < join_us else 400 + second.shown_at(t - join_us) for t in times_us
    ]
    assert asked(line, case, words, out / "pictures") == expected


def test_a_folder_that_is_called_like_the_case_does_not_hide_it(
    line: CommandLine, case: str, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (out / case).mkdir()
    monkeypatch.chdir(out)
    line.ask("frame", case, "--number", 401, "--to", "one.png")
    assert number_in(out / "one.png") == 401


def test_a_case_code_with_a_dot_is_no_file(line: CommandLine, even: Known, out: Path) -> None:
    words = ("--operator", "R-07", "--case-number", 3, "--vocabulary", "sics", "--code", "R.07-3")
    line.ask("intake", even.path, *words)
    line.ask("frame", "R.07-3", "--number", 7, "--to", out / "one.png")
    assert number_in(out / "one.png") == 7


def test_another_recording_under_a_clips_name_is_not_taken_for_it(
    line: CommandLine, even: Known, first: Known, out: Path
) -> None:
    clip = out / "recorder.mp4"
    clip.write_bytes(even.path.read_bytes())
    line.ask("intake", clip, "--operator", "R-07", "--case-number", 3, "--vocabulary", "sics")
    clip.write_bytes(first.path.read_bytes())
    said = line.refusal("frame", "R-07-003", "--number", 7, "--to", out / "one.png")
    assert "another recording" in said
    (out / "renamed.mp4").write_bytes(even.path.read_bytes())
    line.ask("frame", "R-07-003", "--number", 7, "--to", out / "one.png")
    assert number_in(out / "one.png") == 7
