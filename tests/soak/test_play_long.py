"""Ten minutes of what a laptop has to hold: two clips at 1080p60, one at 2160p30; and memory.

The minutes can be set shorter or longer by SCRUBLINE_SOAK_MINUTES.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from long_clips import lengthen
from numbered_clips import make_clip
from playing_measures import Stage, case_with, stage
from pytestqt.qtbot import QtBot
from stalls import stalls_noted

from annotate.clip import build_index
from app.desk.collecting import collecting_here
from app.playing.shown import CACHE_BYTES

pytestmark = pytest.mark.soak
MINUTES = float(os.environ.get("SCRUBLINE_SOAK_MINUTES", "0"))
HALF = (640, 360)
STATUS = Path("/proc/self/status")
ROOT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def garbage_collected_here(qapp: object) -> Iterator[None]:
    with collecting_here():
        yield


def long_clip(folder: Path, minutes: float, fps: int, size: tuple[int, int], grain: int) -> Path:
    """A clip of so many minutes, ten seconds of it encoded."""
    width, height = size
    make_clip(
        folder / "ten_s.mp4", n_frames=10 * fps, fps=fps, gop=2 * fps, width=width, height=height,
        grain=grain, options={"preset": "veryfast"},
    )  # fmt: skip
    lengthen(folder / "ten_s.mp4", folder / "long.mp4", max(1, round(minutes * 6)))
    return folder / "long.mp4"


def told(name: str, screen: Stage, n_frames: int) -> float:
    """Print how a run went; give the lateness that 95 % stay under, ms."""
    late = screen.late_ms
    n = len({p.number for p in screen.painted})
    p95 = float(np.percentile(late, 95))
    print(
        f"\n{name}: {n} of {n_frames} painted, {screen.n_dropped} dropped; late by "
        f"{np.median(late):.1f} ms, 95 % {p95:.1f}, 99 % {np.percentile(late, 99):.1f}, worst "
        f"{late.max():.1f}"
    )
    return p95


def test_two_clips_of_1080p60_side_by_side(qtbot: QtBot, tmp_path: Path) -> None:
    minutes = MINUTES or 10
    path = long_clip(tmp_path, minutes, 60, (1920, 1080), 5)
    index = build_index(path)
    with (
        stalls_noted() as stalls,
        stage(case_with(path, index), HALF) as left,
        stage(case_with(path, index), HALF) as right,
    ):
        for screen in (left, right):
            screen.feed.show_number(0)
        qtbot.waitUntil(lambda: bool(left.painted) and bool(right.painted), timeout=60_000)
        for screen in (left, right):
            screen.clear()
            screen.feed.play(0, 1.0)
        qtbot.waitUntil(
            lambda: left.n_ended + right.n_ended == 2, timeout=round(minutes * 60_000 + 60_000)
        )
        late = [told(f"1080p60, one of two, {minutes:g} min", s, index.n_frames)
                for s in (left, right)]  # fmt: skip
        n = [len({p.number for p in s.painted}) for s in (left, right)]
    print(stalls.words)
    assert min(n) > 0.98 * index.n_frames
    assert max(late) < 16


def test_one_clip_of_2160p30(qtbot: QtBot, tmp_path: Path) -> None:
    minutes = MINUTES or 10
    path = long_clip(tmp_path, minutes, 30, (3840, 2160), 10)
    index = build_index(path)
    with stalls_noted() as stalls, stage(case_with(path, index)) as screen:
        screen.feed.show_number(0)
        qtbot.waitUntil(lambda: bool(screen.painted), timeout=60_000)
        screen.clear()
        screen.feed.play(0, 1.0)
        qtbot.waitUntil(lambda: screen.n_ended == 1, timeout=round(minutes * 60_000 + 60_000))
        late = told(f"2160p30, {minutes:g} min", screen, index.n_frames)
        n = len({p.number for p in screen.painted})
    print(stalls.words)
    assert n > 0.98 * index.n_frames
    assert late < 16


def memory_mib(process: int | str, what: str) -> float:
    """VmRSS for what a process takes now, VmHWM for the most that it ever took; RssFile is code."""
    text = Path(f"/proc/{process}/status").read_text()
    return int(text.split(f"{what}:")[1].split()[0]) / 1024


def idle_mib() -> float:
    """What a decoder's process takes that has opened nothing, without its code."""
    told = (
        "import app.playing.decoder_main, pathlib; "
        "print(pathlib.Path('/proc/self/status').read_text().split('RssAnon:')[1].split()[0])"
    )
    done = subprocess.run(
        [sys.executable, "-c", told], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return int(done.stdout) / 1024


@pytest.mark.skipif(not STATUS.exists(), reason="memory is read from /proc")
@pytest.mark.parametrize(
    ("size", "grain"),
    [((1920, 1080), 5), ((3840, 2160), 10)],
)
def test_the_decoders_memory_stays_bounded(
    size: tuple[int, int], grain: int, qtbot: QtBot, tmp_path: Path
) -> None:
    """Half an hour of seeking, stepping, playing both ways, scrubbing and taking stills.

    All that comes on top of a decoder that has opened nothing stays within the setting: pictures
    kept, those of all the decoders, those on their way, and whatever else is not code.
    """
    minutes = MINUTES or 30
    path = long_clip(tmp_path, 4, 30, size, grain)
    index = build_index(path)
    chance, bare_mib, began_s = random.Random(9), idle_mib(), time.monotonic()
    with stage(case_with(path, index)) as screen:
        screen.feed.show_number(0)
        qtbot.waitUntil(lambda: bool(screen.painted), timeout=60_000)
        decoder = screen.feed.decoder_id
        assert decoder is not None
        while time.monotonic() - began_s < minutes * 60:
            number = chance.randrange(index.n_frames)
            match chance.choice(["seek", "step", "run", "back", "scrub", "fast", "still"]):
                case "seek":
                    screen.feed.show_number(number)
                case "step":
                    for by in range(20):
                        screen.feed.show_number(max(number - by, 0))
                        qtbot.wait(30)
                case "run":
                    screen.feed.play(number, 1.0)
                case "back":
                    screen.feed.play(number, -1.0)
                case "scrub":
                    for by in range(0, 400, 20):
                        screen.feed.show_number(max(number - by, 0), is_passing=True)
                        qtbot.wait(20)
                case "still":
                    screen.feed.take_still(number, lambda _: None)
                case _:
                    screen.feed.play(number, 8.0)
            qtbot.wait(1500)
            screen.clear()
        assert screen.feed.decoder_id == decoder  # nobody died on the way
        code_mib = memory_mib(decoder, "RssFile")
        most, last = (
            memory_mib(decoder, what) - code_mib - bare_mib for what in ("VmHWM", "VmRSS")
        )
    print(
        f"\ndecoder of {size[1]}p over {minutes:g} min: {bare_mib:.0f} MiB before a clip, at "
        f"most {most:.0f} MiB more, at the end {last:.0f}; bound on pictures "
        f"{CACHE_BYTES >> 20} MiB"
    )
    assert most < CACHE_BYTES >> 20
