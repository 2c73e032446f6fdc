"""What is decoded at a speed, and when it is due."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.playing.answers import Way
from app.playing.pace import Pace, RunClock

SPEEDS = [0.1, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 4.0, 8.0, 16.0, -1.0]


@given(st.floats(0, 1e4), st.integers(0, 10**11), st.sampled_from(SPEEDS), st.floats(0, 1000))
def test_the_clock_and_its_inverse_agree(
    at_s: float, case_us: int, speed: float, later_s: float
) -> None:
    clock = RunClock(at_s, case_us, speed)
    assert clock.due_s(clock.us_at(at_s + later_s)) == pytest.approx(at_s + later_s, abs=1e-4)


def run(pace: Pace, cost_s: float, n_frames: int = 60, late_s: float = 0.02) -> None:
    for _ in range(n_frames):
        pace.note(1, cost_s, late_s)


@pytest.mark.parametrize(("speed", "cost_s", "way"), [
    (1.0, 0.020, Way.EVERY),       # 50 a second are reached, 30 needed
    (4.0, 0.004, Way.EVERY),       # 250 of 120
    (4.0, 0.020, Way.KEYS),        # 50 of 120, on either way
])  # fmt: skip
def test_the_way_follows_what_decoding_costs(speed: float, cost_s: float, way: Way) -> None:
    pace = Pace(speed, 30.0)
    run(pace, cost_s, 200)
    assert pace.way is way


def test_frames_that_nothing_refers_to_go_first() -> None:
    pace = Pace(8.0, 30.0)
    run(pace, 0.006, 13)
    assert pace.way is Way.REFERENCED
    for _ in range(50):  # each picture lies three frames on for twice the cost
        pace.note(3, 0.010, 0.0)
    assert pace.way is Way.REFERENCED
    assert pace.reach == pytest.approx(10.0, rel=0.05)


def test_a_run_that_is_not_late_changes_nothing() -> None:
    pace = Pace(2.0, 30.0)
    run(pace, 0.1, late_s=-0.01)
    assert pace.way is Way.EVERY


def test_great_lateness_alone_is_enough() -> None:
    pace = Pace(2.0, 30.0)
    assert pace.note(1, 0.001, 1.0)
    assert pace.way is Way.REFERENCED


@given(st.sampled_from([s for s in SPEEDS if s > 0]), st.sampled_from([25.0, 30.0, 50.0, 60.0]))
def test_no_more_pictures_are_asked_for_than_a_screen_shows(speed: float, fps: float) -> None:
    step_us = Pace(speed, fps).step_us
    frames_between = int(step_us * fps / 1e6) + 1
    assert frames_between / (speed * fps) >= 1 / 60 - 0.002 or frames_between == 1
    assert frames_between <= max(1.0, speed * fps / 60 + 1)


def test_what_was_left_out_at_a_usual_speed_is_tried_again() -> None:
    """A machine that was busy for a moment; at great speeds it stays as it is."""
    for speed, way in ((1.0, Way.EVERY), (8.0, Way.REFERENCED)):
        pace = Pace(speed, 30.0)
        pace.note(1, 0.5, 0.5)
        assert pace.way is Way.REFERENCED
        run(pace, 0.001, round(5.2 * 30 * speed), late_s=0.0)
        assert pace.way is way
