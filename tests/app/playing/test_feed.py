"""The feed shows the frames that were asked for, from a decoder that may die at any moment."""

from __future__ import annotations

import os
import random
import signal
import time
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from feed_scenes import Watcher, case_of, watched
from numbered_clips import jittered_times, make_clip, read_number
from PySide6.QtCore import QTimer
from pytestqt.qtbot import QtBot

from annotate.clip import ClipIndex
from annotate.clip.showing import Framing
from app.playing import line
from app.playing.answers import Pace, Way
from app.playing.shown import CaseToPlay, Still

WAIT_MS = 30_000
SHARED = Path("/dev/shm")


@pytest.fixture(scope="session")
def two_parts(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Variable rate with B-frames, then another size and rate; numbers run through."""
    folder = tmp_path_factory.mktemp("parts")
    first, second = folder / "one.mp4", folder / "two.ts"
    make_clip(first, n_frames=90, times=jittered_times(90, 3))
    make_clip(second, n_frames=75, first_number=90, width=384, height=288, fps=25, gop=12)
    return [first, second]


@pytest.fixture(scope="session")
def two_short_parts(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """The same in short, for what is run through slowly: frames 0 to 39, then 40 to 69."""
    folder = tmp_path_factory.mktemp("short")
    first, second = folder / "one.mp4", folder / "two.ts"
    make_clip(first, n_frames=40, times=jittered_times(40, 3))
    make_clip(second, n_frames=30, first_number=40, width=384, height=288, fps=25, gop=12)
    return [first, second]


@pytest.fixture
def case(two_parts: list[Path]) -> CaseToPlay:
    return case_of(two_parts)


@pytest.fixture
def short_case(two_short_parts: list[Path]) -> CaseToPlay:
    return case_of(two_short_parts)


def show(watcher: Watcher, qtbot: QtBot, number: int) -> None:
    n_before = len(watcher.seen)
    watcher.feed.show_number(number)
    qtbot.waitUntil(
        lambda: len(watcher.seen) > n_before and watcher.seen[-1].number == number, timeout=WAIT_MS
    )


def test_any_frame_that_is_asked_for_is_shown(qtbot: QtBot, case: CaseToPlay) -> None:
    chance = random.Random(4)
    with watched(case) as watcher:
        for number in [0, 164, 89, 90, *chance.choices(range(165), k=40)]:
            show(watcher, qtbot, number)
    assert [s.number for s in watcher.seen] == [s.read for s in watcher.seen]


def test_a_run_shows_every_frame_once_and_in_order_over_the_join(
    qtbot: QtBot, short_case: CaseToPlay
) -> None:
    with watched(short_case) as watcher:
        watcher.feed.play(58, 0.5)
        qtbot.waitUntil(lambda: watcher.n_ended == 1, timeout=WAIT_MS)
        watcher.seen.clear()
        watcher.feed.n_missed = 0
        watcher.feed.play(30, 0.5)
        qtbot.waitUntil(lambda: watcher.n_ended == 2, timeout=WAIT_MS)
        # A busy machine may be late for some; then it says so.
        late = watcher.feed.n_missed + (watcher.feed.pace.n_dropped if watcher.feed.pace else 0)
    assert watcher.numbers == sorted(set(watcher.numbers))
    assert len(set(range(30, 70)) - set(watcher.numbers)) <= late
    assert all(seen.read == seen.number for seen in watcher.seen)


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="a process is held for a moment")
@pytest.mark.parametrize("speed", [1.0, 2.0])
def test_a_run_that_is_late_at_its_end_leaves_the_last_frame_there(
    qtbot: QtBot, case: CaseToPlay, speed: float
) -> None:
    with watched(case) as watcher:
        show(watcher, qtbot, 140)
        decoder = watcher.feed.decoder_id
        assert decoder is not None
        watcher.feed.play(140, speed)
        qtbot.waitUntil(lambda: watcher.numbers[-1] > 145, timeout=WAIT_MS)
        os.kill(decoder, signal.SIGSTOP)
        held_s = time.perf_counter()
        qtbot.waitUntil(lambda: time.perf_counter() - held_s > 1.0, timeout=WAIT_MS)
        os.kill(decoder, signal.SIGCONT)
        qtbot.waitUntil(lambda: watcher.n_ended == 1, timeout=WAIT_MS)
        qtbot.waitUntil(lambda: watcher.numbers[-1] == 164, timeout=WAIT_MS)
        assert watcher.feed.decoder_id == decoder


@pytest.mark.parametrize("speed", [1.0, 16.0])
def test_a_run_goes_over_a_gap_at_once_and_leaves_out_what_comes_twice(
    qtbot: QtBot, case: CaseToPlay, speed: float
) -> None:
    with_gap = replace(case, parts=(case.parts[0], replace(case.parts[1], lead_us=60_000_000)))
    with watched(with_gap) as watcher:
        asked_s = time.perf_counter()
        watcher.feed.play(85, speed)
        qtbot.waitUntil(lambda: watcher.n_ended == 1, timeout=WAIT_MS)
        assert watcher.feed.time_of(90) - watcher.feed.time_of(89) > 60_000_000
    assert watcher.numbers[-1] == 164
    came_s = next(seen.at_s for seen in watcher.seen if seen.number >= 90)
    over = came_s - max([asked_s, *(seen.at_s for seen in watcher.seen if seen.number < 90)])
    assert over < min(5, 0.8 * 60 / speed)  # not the minute in which nothing was recorded
    twice = replace(case, parts=(case.parts[0], replace(case.parts[1], lead_us=-400_000)))
    with watched(twice) as watcher:
        show(watcher, qtbot, 89)
        show(watcher, qtbot, 90)
    assert watcher.seen[-1].read == 90 + 10  # 0.4 s at 25 a second were there already


def test_pictures_are_never_shown_long_before_their_moment(qtbot: QtBot, case: CaseToPlay) -> None:
    with watched(case) as watcher:
        watcher.feed.play(60, 2.0)
        qtbot.waitUntil(lambda: watcher.n_ended == 1, timeout=WAIT_MS)
    assert min(seen.late_s for seen in watcher.seen) >= -0.002  # what painting takes


def test_it_runs_backward_frame_by_frame(qtbot: QtBot, short_case: CaseToPlay) -> None:
    with watched(short_case) as watcher:
        watcher.feed.play(55, -0.5)
        qtbot.waitUntil(lambda: watcher.n_ended == 1, timeout=WAIT_MS)
        n_missed = watcher.feed.n_missed
    assert watcher.numbers == sorted(set(watcher.numbers), reverse=True)
    assert len(set(range(56)) - set(watcher.numbers)) == n_missed  # by a busy screen alone
    assert all(seen.read == seen.number for seen in watcher.seen)


def n_turns(watcher: Watcher) -> int:
    return sum(b < a for a, b in pairwise(watcher.numbers))


def test_a_loop_goes_round_without_leaving_its_span(qtbot: QtBot, case: CaseToPlay) -> None:
    with watched(case) as watcher:
        watcher.feed.play(80, 2.0, loop=(80, 99))
        qtbot.waitUntil(lambda: n_turns(watcher) >= 3, timeout=WAIT_MS)
    assert set(watcher.numbers) <= set(range(80, 100))


def test_a_killed_decoder_is_replaced_and_the_run_goes_on(qtbot: QtBot, case: CaseToPlay) -> None:
    with watched(case) as watcher:
        watcher.feed.play(55, 1.0)
        qtbot.waitUntil(lambda: len(watcher.seen) > 20, timeout=WAIT_MS)
        killed, at = watcher.feed.decoder_id, len(watcher.seen)
        assert killed is not None
        os.kill(killed, signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
        qtbot.waitUntil(lambda: watcher.n_ended == 1, timeout=WAIT_MS)
        assert watcher.feed.decoder_id != killed
    before, after = watcher.numbers[at - 1], watcher.numbers[at + 8 :]
    assert watcher.numbers[-1] == 164
    assert watcher.numbers == sorted(watcher.numbers)
    assert after[0] - before < 25  # it goes on where it was
    assert not watcher.troubles
    assert all(seen.read == seen.number for seen in watcher.seen)


def test_a_decoder_that_dies_again_and_again_is_told_and_tried_anew(
    qtbot: QtBot, case: CaseToPlay
) -> None:
    with watched(case) as watcher:
        for n_deaths in range(3):
            show(watcher, qtbot, 30 + n_deaths)
            decoder = watcher.feed.decoder_id
            assert decoder is not None
            os.kill(decoder, signal.SIGTERM)
            qtbot.waitUntil(lambda n=n_deaths: watcher.feed.n_deaths == n + 1, timeout=WAIT_MS)
        qtbot.waitUntil(lambda: bool(watcher.troubles), timeout=WAIT_MS)
        assert "Tags and comments are safe" in watcher.troubles[0]
        show(watcher, qtbot, 100)


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="no process can be stopped here")
@pytest.mark.parametrize("is_running", [True, False])
def test_a_decoder_that_hangs_is_replaced(
    qtbot: QtBot, case: CaseToPlay, is_running: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    with watched(case) as watcher:
        show(watcher, qtbot, 20)
        if is_running:
            watcher.feed.play(20, 0.1)
            qtbot.waitUntil(lambda: watcher.numbers[-1] > 20, timeout=WAIT_MS)
        hung = watcher.feed.decoder_id
        assert hung is not None
        with monkeypatch.context() as sooner:
            sooner.setattr(line, "_SILENT_S", 1.0)  # the next one starts with all its time
            os.kill(hung, signal.SIGSTOP)
            if not is_running:
                watcher.feed.show_number(70)
            qtbot.waitUntil(lambda: watcher.feed.decoder_id not in {None, hung}, timeout=WAIT_MS)
        show(watcher, qtbot, 100)
    assert watcher.seen[-1].read == 100


def test_a_decoder_that_has_nothing_to_do_is_left_alone(
    qtbot: QtBot, case: CaseToPlay, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Silent because it stands, because the end is reached, or because a part is lost."""
    monkeypatch.setattr(line, "_SILENT_S", 0.3)
    lost = replace(case.parts[0], missing="Part 1 is not there.")
    with watched(replace(case, parts=(lost, case.parts[1]))) as watcher:
        for wish in (
            lambda: watcher.feed.show_number(3),
            lambda: watcher.feed.show_number(120),
            lambda: watcher.feed.play(160, 1.0),
        ):
            wish()
            qtbot.wait(1200)
        assert watcher.feed.n_deaths == 0


def test_a_part_that_is_not_there_is_told_and_the_rest_plays(
    qtbot: QtBot, case: CaseToPlay
) -> None:
    lost = replace(case.parts[0], path="/nowhere/one.mp4", missing="Part 1 is not there.")
    with watched(replace(case, parts=(lost, case.parts[1]))) as watcher:
        watcher.feed.show_number(3)
        qtbot.waitUntil(lambda: watcher.troubles == ["Part 1 is not there."], timeout=WAIT_MS)
        watcher.feed.play(3, 2.0)
        qtbot.waitUntil(lambda: watcher.n_ended == 1, timeout=WAIT_MS)
    assert 90 <= watcher.numbers[0] < 100
    assert watcher.numbers[-1] == 164


def test_an_index_that_is_not_there_is_made_and_handed_over(
    qtbot: QtBot, two_parts: list[Path]
) -> None:
    kept: dict[int, bytes] = {}
    case = replace(case_of(two_parts, with_index=False), keep_index=kept.__setitem__)
    with watched(case) as watcher:
        show(watcher, qtbot, 40)
        show(watcher, qtbot, 120)
        qtbot.waitUntil(lambda: set(kept) == {0, 1}, timeout=WAIT_MS)
        assert watcher.feed.time_of(40) == ClipIndex.from_bytes(kept[0]).time_of(40)
    assert watcher.seen[-1].read == 120


def test_a_still_is_exact_and_whole_while_the_clip_runs(qtbot: QtBot, case: CaseToPlay) -> None:
    stills: list[Still] = []
    with watched(case) as watcher:
        watcher.feed.play(0, 0.5)
        qtbot.waitUntil(lambda: len(watcher.seen) > 3, timeout=WAIT_MS)
        for number in (120, 7):
            watcher.feed.take_still(number, stills.append)
        qtbot.waitUntil(lambda: len(stills) == 2, timeout=WAIT_MS)
        numbers = list(watcher.numbers)
    assert numbers == sorted(numbers)
    assert [still.number for still in stills] == [120, 7]
    assert [read_number(still.rgb) for still in stills if still.rgb is not None] == [120, 7]
    assert stills[0].rgb is not None
    assert stills[0].rgb.shape == (288, 384, 3)


def test_while_the_pointer_passes_near_pictures_do_and_the_exact_one_follows(
    qtbot: QtBot, case: CaseToPlay
) -> None:
    with watched(case) as watcher:
        show(watcher, qtbot, 0)
        for number in (20, 70, 110, 150):
            watcher.feed.show_number(number, is_passing=True)
            qtbot.waitUntil(
                lambda number=number: abs(watcher.numbers[-1] - number) < 30, timeout=WAIT_MS
            )
        qtbot.waitUntil(lambda: watcher.numbers[-1] == 150, timeout=WAIT_MS)
    assert all(seen.read == seen.number for seen in watcher.seen)
    assert not watcher.seen[-1].is_near


def test_a_pointer_that_never_rests_is_followed_all_the_same(
    qtbot: QtBot, case: CaseToPlay
) -> None:
    """Wishes that come quicker than pictures can be made must not starve them."""
    with watched(case) as watcher:
        show(watcher, qtbot, 80)
        qtbot.wait(300)  # its neighbours are made ready: both kinds of near picture come
        n_before, places = len(watcher.seen), [*range(80, 40, -1), *range(100, 150)] * 6
        timer = QTimer()
        timer.timeout.connect(
            lambda: watcher.feed.show_number(places.pop(), is_passing=True) if places else None
        )
        timer.start(1)
        qtbot.waitUntil(lambda: not places, timeout=WAIT_MS)
        n_passed = len(watcher.seen) - n_before
        timer.stop()
        qtbot.waitUntil(lambda: watcher.numbers[-1] == 80, timeout=WAIT_MS)
    assert n_passed > 15
    assert all(seen.read == seen.number for seen in watcher.seen)


def test_what_was_said_of_a_run_goes_with_it(qtbot: QtBot, case: CaseToPlay) -> None:
    with watched(case) as watcher:
        show(watcher, qtbot, 3)
        watcher.feed.pace = Pace(watcher.feed._epoch, Way.KEYS, 16.0, 3)
        with qtbot.waitSignal(watcher.feed.pace_changed):
            watcher.feed.play(3, 1.0)
        assert watcher.feed.pace is None


def test_larger_pictures_are_asked_for_and_come(qtbot: QtBot, case: CaseToPlay) -> None:
    with watched(case) as watcher:
        show(watcher, qtbot, 5)
        watcher.feed.show_as(Framing(1920, 1440), room=(1920, 1440), made_for=(320, 240))
        show(watcher, qtbot, 6)
        qtbot.waitUntil(lambda: watcher.seen[-1].size == (1920, 1440), timeout=WAIT_MS)
        show(watcher, qtbot, 100)  # of another part, in its own shape
    assert watcher.seen[-1].size == (1920, 1440)
    assert watcher.seen[-1].read == 100


@pytest.mark.skipif(not SHARED.is_dir(), reason="shared memory has no folder here")
def test_nothing_is_left_in_shared_memory(qtbot: QtBot, case: CaseToPlay) -> None:
    names: set[str] = set()
    with watched(case) as watcher:
        for number, size in ((5, 320), (8, 1920), (9, 3000)):
            watcher.feed.show_as(Framing(size, size * 3 // 4), room=(size, size * 3 // 4))
            show(watcher, qtbot, number)
            names |= {slots.name for slots in watcher.feed._memories._slots}
        assert len(names) == 3
    assert not [name for name in names if (SHARED / name.lstrip("/")).exists()]
