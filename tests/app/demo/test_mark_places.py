"""Places of marks from a frame's truth, by hand on a picture of 200 by 100 pixels."""

from __future__ import annotations

import pytest

from annotate.marks import MarkKind
from app.demo.case_truth import TruthFrame
from app.demo.mark_places import best_frame, mark_points
from app.demo.remarks import MarkPlan
from sample_clips.truth import Frames

FRAMES = Frames(
    time_us=[0, 40_000, 80_000],
    eye_x_px=[99.5, 119.5, 109.5],
    eye_y_px=[49.5, 49.5, 59.5],
    capsule=[None, [99.5, 49.5, 20.0, 10.0, 0.0], None],
    optic=[None, [99.5, 49.5, 12.0], None],
    limbus_r_px=[40.0, 40.0, 40.0],
    pupil_r_px=[30.0, 30.0, 30.0],
    tip=[[150.5, 49.5], [119.5, 14.5], [99.5, 59.5]],
    needle=[None, [99.5, 24.5, 149.5, 74.5], [99.5, 24.5, 139.5, 74.5]],
    needle_offset=[None, 0.4, 0.9],
)


def frame(number: int) -> TruthFrame:
    return TruthFrame(FRAMES.time_us[number], number, FRAMES, 200, 100)


def all_frames() -> list[TruthFrame]:
    return [frame(0), frame(1), frame(2)]


@pytest.mark.parametrize(
    ("on", "number"),
    [
        pytest.param("needle", 2, id="needle farthest from the incision's middle"),
        pytest.param("eye", 1, id="eye farthest from the picture's middle"),
        pytest.param("tip", 2, id="tip within the pupil, not at the limbus or outside"),
        pytest.param("capsule", 1, id="first with an opening"),
        pytest.param("corner", 0, id="first of all"),
    ],
)
def test_frame_that_shows_it_best_is_chosen(on: str, number: int) -> None:
    chosen = best_frame(MarkPlan(MarkKind.RING, on), all_frames())
    assert chosen is not None
    assert chosen.number == number


def test_no_frame_is_chosen_where_none_shows_it() -> None:
    assert best_frame(MarkPlan(MarkKind.RING, "needle"), [frame(0)]) is None


def test_ring_on_the_needle_is_round_its_place_in_the_incision() -> None:
    assert mark_points(MarkPlan(MarkKind.RING, "needle", 0.1), frame(1)) == (
        (0.75, 0.75),
        (0.85, 0.75),
    )


def test_ring_on_the_optic_is_a_little_larger_than_it() -> None:
    assert mark_points(MarkPlan(MarkKind.RING, "optic"), frame(1)) == ((0.5, 0.5), (0.57, 0.5))


def test_arrow_runs_from_the_pictures_middle_to_the_eye() -> None:
    assert mark_points(MarkPlan(MarkKind.ARROW, "eye"), frame(1)) == ((0.5, 0.5), (0.6, 0.5))


def test_arrow_points_at_the_openings_left_edge() -> None:
    assert mark_points(MarkPlan(MarkKind.ARROW, "capsule"), frame(1)) == ((0.28, 0.5), (0.4, 0.5))


def test_point_outside_is_kept_within_the_picture() -> None:
    outside = MarkPlan(MarkKind.RING, "tip", 0.9)
    assert mark_points(outside, frame(0)) == ((0.755, 0.5), (0.99, 0.5))
