"""Playing, seeking and scrubbing on a screen of 1280x720: what is painted, and when.

Run by `pytest -m bench`; prints one line for each goal. Bounds asserted are loose, since a machine
may be busy; the printed figures are the result.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from long_clips import lengthen
from numbered_clips import make_clip
from playing_measures import Stage, case_with, stage
from pytestqt.qtbot import QtBot

from annotate.clip import build_index
from app.desk.collecting import collecting_here
from app.playing.decoders import decoders

pytestmark = pytest.mark.bench
WAIT_MS = 120_000
B_FRAMES = "b-adapt=0:bframes=3:scenecut=0"
"""As recorders write them: always the same groups; by itself the encoder finds none in noise."""
FULL_HD = {"width": 1920, "height": 1080, "grain": 5}
RATE_30 = {"preset": "veryfast", "crf": "-1", "b": "8000000", "x264-params": B_FRAMES}
RATE_60 = {**RATE_30, "b": "12000000"}
ROUNDS = 5


@pytest.fixture(autouse=True)
def garbage_collected_here(qapp: object) -> Iterator[None]:
    with collecting_here():
        yield


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("playing")


@pytest.fixture(scope="module")
def at_60(folder: Path) -> Path:
    """A minute of 1080p60 H.264 with B-frames, in groups of 120."""
    make_clip(folder / "ten_s.mp4", n_frames=600, fps=60, gop=120, options=RATE_60, **FULL_HD)
    lengthen(folder / "ten_s.mp4", folder / "minute60.mp4", 6)
    return folder / "minute60.mp4"


@pytest.fixture(scope="module")
def at_30(folder: Path) -> Path:
    """Two minutes of 1080p30 H.264 with B-frames, in groups of 60."""
    make_clip(folder / "twenty_s.mp4", n_frames=600, fps=30, gop=60, options=RATE_30, **FULL_HD)
    lengthen(folder / "twenty_s.mp4", folder / "two_minutes30.mp4", 6)
    return folder / "two_minutes30.mp4"


def stood(screen: Stage, qtbot: QtBot, number: int) -> float:
    """Milliseconds from asking for a frame to its painting."""
    asked_s, n = time.perf_counter(), len(screen.painted)
    screen.feed.show_number(number)
    qtbot.waitUntil(
        lambda: len(screen.painted) > n and screen.painted[-1].number == number, timeout=WAIT_MS
    )
    return (screen.painted[-1].at_s - asked_s) * 1e3


@pytest.mark.parametrize("is_known", [True, False], ids=["index kept", "index to be made"])
@pytest.mark.parametrize("kind", ["mp4", "ts"])
def test_first_picture_of_an_hour(
    qtbot: QtBot, folder: Path, at_30: Path, kind: str, is_known: bool
) -> None:
    hour = folder / f"hour.{kind}"
    if not hour.exists():
        lengthen(folder / "twenty_s.mp4", hour, 180)
    index = build_index(hour)
    decoders.warm()
    case = case_with(hour, index, is_known=is_known)
    times_s, played_s = [], []
    for _ in range(ROUNDS):
        with stage(case) as screen:
            screen.feed.show_number(0)
            qtbot.waitUntil(lambda screen=screen: bool(screen.painted), timeout=WAIT_MS)
            times_s.append(screen.painted[0].at_s - screen.opened_s)
            screen.feed.play(0, 1.0)
            qtbot.waitUntil(lambda screen=screen: screen.painted[-1].number >= 5, timeout=WAIT_MS)
            played_s.append(screen.painted[-1].at_s - screen.opened_s)
        decoders.warm()
    print(
        f"\nfirst picture of an hour ({kind}, {'index kept' if is_known else 'index made'}): "
        f"{statistics.median(times_s):.2f} s; playing after {statistics.median(played_s):.2f} s"
    )
    assert statistics.median(times_s) < (1.0 if is_known else 4.0)


def test_a_minute_at_60_a_second(qtbot: QtBot, at_60: Path) -> None:
    with stage(case_with(at_60)) as screen:
        stood(screen, qtbot, 0)
        screen.clear()
        screen.feed.play(0, 1.0)
        qtbot.waitUntil(lambda: screen.n_ended == 1, timeout=WAIT_MS)
        late = screen.late_ms
        n = len({p.number for p in screen.painted})
        between = np.diff([p.at_s for p in screen.painted]) * 1e3
        print(
            f"\n1080p60 for a minute: {n} of 3600 painted, {screen.n_dropped} dropped; late by "
            f"{np.median(late):.1f} ms, 95 % {np.percentile(late, 95):.1f}, "
            f"99 % {np.percentile(late, 99):.1f}, worst {late.max():.1f}; from one to the next "
            f"99 % within {np.percentile(np.abs(between - 1000 / 60), 99):.1f} ms of a frame"
        )
    assert n > 3500


def test_speeds_from_a_tenth_to_sixteen(qtbot: QtBot, at_30: Path) -> None:
    print()
    with stage(case_with(at_30)) as screen:
        stood(screen, qtbot, 0)
        for speed in (0.1, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 4.0, 8.0, 16.0):
            screen.clear()
            screen.feed.play(0, speed)
            seconds = 6.0 if speed < 16 else 7.0
            qtbot.waitUntil(lambda: bool(screen.painted), timeout=WAIT_MS)
            began_s = screen.painted[0].at_s
            qtbot.waitUntil(
                lambda began_s=began_s, seconds=seconds: (
                    time.perf_counter() - began_s > seconds or screen.n_ended > 0
                ),
                timeout=WAIT_MS,
            )
            seen = list(screen.painted)
            at_s = np.array([p.at_s for p in seen]) - seen[0].at_s
            rate = float(np.polyfit(at_s, [p.time_us / 1e6 for p in seen], 1)[0])
            per_s = len({p.number for p in seen}) / float(at_s[-1])
            longest = max(np.diff([p.at_s for p in seen])) * 1e3
            way = screen.feed.pace.way.value if screen.feed.pace else "every frame"
            print(
                f"speed {speed:g}: rate {rate:.3f} ({100 * (rate / speed - 1):+.1f} %), "
                f"{per_s:.0f} pictures/s, longest wait {longest:.0f} ms, {way}"
            )
            assert rate == pytest.approx(speed, rel=0.1)
            assert per_s > min(10, 0.8 * 30 * speed)


def test_a_step_back_and_running_backward(qtbot: QtBot, at_30: Path) -> None:
    with stage(case_with(at_30)) as screen:
        stood(screen, qtbot, 700)
        qtbot.wait(1500)  # what a person does before the first step back
        steps = [stood(screen, qtbot, n) for n in range(699, 670, -1)]
        screen.clear()
        screen.feed.play(670, -1.0)
        qtbot.waitUntil(
            lambda: bool(screen.painted) and screen.painted[-1].number <= 400, timeout=WAIT_MS
        )
        seen = screen.painted
        per_s = (len(seen) - 1) / (seen[-1].at_s - seen[0].at_s)
        rate = (seen[0].time_us - seen[-1].time_us) / 1e6 / (seen[-1].at_s - seen[0].at_s)
        print(
            f"\none step back, painted: median {statistics.median(steps):.1f} ms, worst "
            f"{max(steps):.1f}; running backward: {per_s:.1f} pictures/s, {rate:.2f} of the "
            f"clip's rate, longest wait {max(np.diff([p.at_s for p in seen])) * 1e3:.0f} ms"
        )
    assert statistics.median(steps) < 30


def test_scrubbing_with_the_pointer(qtbot: QtBot, at_30: Path) -> None:
    chance = random.Random(2)
    with stage(case_with(at_30)) as screen:
        stood(screen, qtbot, 0)
        screen.clear()
        began_s, place, aims = time.perf_counter(), 1800.0, 0
        while time.perf_counter() - began_s < 6.0:
            place = min(max(place + chance.uniform(-90, 90), 0), 3599)
            screen.feed.show_number(int(place), is_passing=True)
            aims += 1
            qtbot.wait(8)
        n, passed_s = len(screen.painted), time.perf_counter() - began_s
        rested_s = time.perf_counter()
        qtbot.waitUntil(lambda: screen.painted[-1].number == int(place), timeout=WAIT_MS)
        rest_ms = (time.perf_counter() - rested_s) * 1e3
        print(
            f"\nscrubbing: {n / passed_s:.0f} pictures/s for {aims / passed_s:.0f} places/s; "
            f"exact {rest_ms:.0f} ms after the pointer rests"
        )
    assert n / passed_s > 12


def test_a_clip_without_key_pictures_says_how_fast_it_goes(qtbot: QtBot, folder: Path) -> None:
    """Nothing to hop to: the run goes as fast as decoding does, and what is said is true."""
    path = folder / "one_group.mp4"
    make_clip(path, n_frames=1800, fps=30, gop=10_000, options=RATE_30, **FULL_HD)
    with stage(case_with(path)) as screen:
        stood(screen, qtbot, 0)
        screen.clear()
        screen.feed.play(0, 16.0)
        qtbot.waitUntil(lambda: screen.n_ended == 1, timeout=WAIT_MS)
        seen, pace = list(screen.painted), screen.feed.pace
    last = seen.pop()  # exactly the last frame, which takes its time
    rate = (seen[-1].time_us - seen[0].time_us) / 1e6 / (seen[-1].at_s - seen[0].at_s)
    per_s = len(seen) / (seen[-1].at_s - seen[0].at_s)
    assert pace is not None
    said = f"said {pace.speed}, {per_s:.0f} pictures/s"
    print(f"\none group of a minute at 16: rate {rate:.1f}, {said}")
    assert last.number == 1799
    assert pace.speed == pytest.approx(rate, rel=0.25)
