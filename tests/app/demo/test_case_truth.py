"""Truth of two small made parts, put on the case clock."""

from __future__ import annotations

from typing import Any

import pytest

from annotate.clock import CaseClock
from annotate.tags import Leaning, TagKind
from app.demo.case_truth import CaseTruth
from app.demo.moment import Moment
from sample_clips.truth import Frames, Truth

S = 1_000_000


def part(index: int, starts_at_s: float, **said: Any) -> Truth:
    """One part of two, a frame a second, the eye hidden in its second frame."""
    frames = Frames(time_us=[0, S, 2 * S], visible=[1, 0, 1])
    return Truth(
        clip=f"part{index}.mp4",
        seed=1,
        operator="R-07",
        case_number=41,
        vocabulary="phaco-divide-conquer",
        eye="OD",
        width=320,
        height=180,
        part={"index": index, "of": 2, "starts_at_s": starts_at_s},
        inside_magnification=1.0,
        optic_mm=6.0,
        limbus_mm=11.7,
        incision_mm=2.4,
        capsule_opening={"long_mm": 5.3, "short_mm": 5.1},
        phases=said.get("phases", []),
        idle=said.get("idle", []),
        events=said.get("events", []),
        pauses=[],
        excursions=[],
        zoom=[],
        instruments=[],
        frames=frames,
    )


def span(code: str, start_s: float, end_s: float | None, **more: Any) -> dict[str, Any]:
    return {"code": code, "start_s": start_s, "end_s": end_s, **more}


def two_parts(first: dict[str, Any], second: dict[str, Any]) -> CaseTruth:
    """Parts of 10 s and 8 s."""
    return CaseTruth([part(1, 0.0, **first), part(2, 10.0, **second)], CaseClock([10 * S, 8 * S]))


def test_phase_cut_at_the_join_becomes_one_moment() -> None:
    truth = two_parts(
        {"phases": [span("sculpt", 1, 6), span("crack", 6.5, 10)]},
        {"phases": [span("crack", 0, 3), span("fragments", 3, 7)]},
    )
    assert truth.moments() == (
        Moment(TagKind.PHASE, "sculpt", 1 * S, 6 * S),
        Moment(TagKind.PHASE, "crack", 6_500_000, 13 * S),
        Moment(TagKind.PHASE, "fragments", 13 * S, 17 * S),
    )


def test_same_phase_that_does_not_reach_the_join_stays_two_moments() -> None:
    truth = two_parts({"phases": [span("crack", 6, 9)]}, {"phases": [span("crack", 0, 3)]})
    assert [(m.start_us, m.end_us) for m in truth.moments()] == [(6 * S, 9 * S), (10 * S, 13 * S)]


def test_event_keeps_leaning_weight_and_note_and_may_be_an_instant() -> None:
    event = span("vacuum-lost", 2, None, leaning="correct", weight=2, note="It slips.")
    truth = two_parts({}, {"events": [event]})
    assert truth.moments() == (
        Moment(TagKind.EVENT, "vacuum-lost", 12 * S, None, Leaning.CORRECT, 2, "It slips."),
    )


def test_span_beyond_its_clip_ends_with_the_clip() -> None:
    truth = two_parts({}, {"idle": [span("wait", 7, 8.04)]})
    assert [(m.start_us, m.end_us) for m in truth.moments()] == [(17 * S, 18 * S)]


def test_frames_are_those_in_view_within_the_span_on_the_case_clock() -> None:
    truth = two_parts({}, {})
    assert [f.time_us for f in truth.frames(1 * S, 12 * S)] == [2 * S, 10 * S]


def test_each_clip_needs_a_truth() -> None:
    with pytest.raises(ValueError, match="one truth for each clip"):
        CaseTruth([part(1, 0.0)], CaseClock([10 * S, 8 * S]))
