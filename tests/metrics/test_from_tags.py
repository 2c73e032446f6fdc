from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tag_rows import WORDS, session_tags, tag

from annotate.tags import Leaning, Tag, TagKind
from annotate.vocabulary_file import shipped_vocabulary
from metrics.figures import SessionFigures, Transition
from metrics.from_tags import figures
from metrics.intervals import intersect, measure, union

S = 1_000_000
DIVIDE = shipped_vocabulary("phaco-divide-conquer")


@pytest.fixture
def worked() -> list[Tag]:
    """A short case whose figures are derived by hand, seconds.

    Phases: incision 10-20, viscoelastic 20-30 (touching), capsulorhexis 40-70, viscoelastic
    75-80, sculpt 80-100. O = 10-100, so observed 90; P = 10-30, 40-70, 75-100.
    Idle reasons: wait 50-55 (inside capsulorhexis), talk 53-58 (the same), wait 95-110 (clipped
    to 95-100), exchange 0-5 (outside O). D within O = 50-58, 95-100: 13.
    Active: incision 10, viscoelastic 10 + 5 = 15, capsulorhexis 30 - 8 = 22, sculpt 20 - 5 = 15;
    together 62. Idle = 90 - 62 = 28: tagged 13, untagged 30-40 and 70-75 = 15. By reason: wait
    5 + 5 = 10, talk 5. Idle stretches 30-40, 50-58, 70-75, 95-100: the longest is 10, at 30.
    """
    return [
        tag("phase", "viscoelastic", 20, 30),
        tag("phase", "sculpt", 80, 100),
        tag("phase", "incision", 10, 20),
        tag("phase", "capsulorhexis", 40, 70),
        tag("phase", "viscoelastic", 75, 80),
        tag("idle", "wait", 50, 55),
        tag("idle", "talk", 53, 58),
        tag("idle", "wait", 95, 110),
        tag("idle", "exchange", 0, 5),
        tag("event", "iris-touch", 60),
        tag("event", "iris-touch", 61, leaning=Leaning.NEUTRAL, weight=3),
        tag("event", "good-move", 105, 106),
        tag("event", "unheard-of", 5),
    ]


def test_worked_phases(worked: list[Tag]) -> None:
    found = figures(worked, DIVIDE)
    assert found.observed_us == 90 * S
    rows = [(p.code, p.visit_us, p.total_us, p.active_us) for p in found.phases]
    assert rows == [
        ("incision", (10 * S,), 10 * S, 10 * S),
        ("viscoelastic", (10 * S, 5 * S), 15 * S, 15 * S),
        ("capsulorhexis", (30 * S,), 30 * S, 22 * S),
        ("sculpt", (20 * S,), 20 * S, 15 * S),
    ]
    visco = found.phases[1]
    assert (visco.label, visco.first_start_us, visco.last_end_us) == (
        "Viscoelastic",
        20 * S,
        80 * S,
    )
    assert visco.share == pytest.approx(15 / 90)


def test_worked_idle(worked: list[Tag]) -> None:
    idle = figures(worked, DIVIDE).idle
    assert (idle.total_us, idle.tagged_us, idle.untagged_us) == (28 * S, 13 * S, 15 * S)
    assert idle.by_reason == {"wait": 10 * S, "talk": 5 * S}
    assert (idle.longest_us, idle.longest_at_us) == (10 * S, 30 * S)
    assert idle.share == pytest.approx(28 / 90)


def test_worked_order(worked: list[Tag]) -> None:
    """Observed I V C V S; expected I V C H S Cr F Co P L VR Cl (12).

    The fourth, V, becomes H (1); after S seven codes are wanting (7): the distance is 8.
    """
    order = figures(worked, DIVIDE).order
    assert order.observed == ("incision", "viscoelastic", "capsulorhexis", "viscoelastic", "sculpt")
    assert order.distance == 8
    assert order.repeated == ("viscoelastic",)
    assert order.out_of_order == ()
    assert order.missing == (
        "hydrodissection",
        "crack",
        "fragments",
        "cortex",
        "polish",
        "lens",
        "viscoelastic-removal",
        "closure",
    )


def test_worked_transitions(worked: list[Tag]) -> None:
    assert figures(worked, DIVIDE).transitions == (
        Transition("incision", "viscoelastic", 1),
        Transition("viscoelastic", "capsulorhexis", 1),
        Transition("capsulorhexis", "viscoelastic", 1),
        Transition("viscoelastic", "sculpt", 1),
    )


def test_worked_events(worked: list[Tag]) -> None:
    """Four events in 90 s; what an event leaves unsaid its term says: iris-touch is correct, 2."""
    events = figures(worked, DIVIDE).events
    assert events.total == 4
    assert events.by_code == {"good-move": 1, "iris-touch": 2, "unheard-of": 1}
    assert events.by_leaning == {"commend": 1, "correct": 1, "neutral": 2}
    assert events.by_weight == {1: 2, 2: 1, 3: 1}
    assert events.per_minute == pytest.approx(4 / 1.5)


def test_no_hand_over_means_no_figures_of_the_operator_alone(worked: list[Tag]) -> None:
    assert figures(worked, DIVIDE).operator_only is None


def test_worked_hand_over(worked: list[Tag]) -> None:
    """Hand-over 52-56 and 75-80 and 28-35, so O without it is 90 - 16 = 74.

    Viscoelastic keeps 20-28 = 8; its visit 75-80 is gone. Capsulorhexis keeps 40-52 and 56-70 =
    26 as one visit; idle reasons keep 50-52, 56-58 and 95-100 = 9; its active time is 26 - 4 = 22.
    Untagged: 35-40 and 70-75 = 10. Idle 19, active 10 + 8 + 22 + 15 = 55, together 74.
    The longest idle is 5, first at 35: 30-40 does not bridge the hand-over.
    """
    others = [(52, 56), (75, 80), (28, 35)]
    tags = [*worked, *(tag("hand-over", "attending", a, b) for a, b in others)]
    tags.append(tag("event", "good-move", 53))
    found = figures(tags, DIVIDE)
    assert found.observed_us == 90 * S
    assert found.events.total == 5
    alone = found.operator_only
    assert alone is not None
    assert alone.operator_only is None
    assert alone.observed_us == 74 * S
    assert [(p.code, p.visit_us, p.active_us) for p in alone.phases] == [
        ("incision", (10 * S,), 10 * S),
        ("viscoelastic", (8 * S,), 8 * S),
        ("capsulorhexis", (26 * S,), 22 * S),
        ("sculpt", (20 * S,), 15 * S),
    ]
    assert (alone.idle.tagged_us, alone.idle.untagged_us) == (9 * S, 10 * S)
    assert alone.idle.by_reason == {"wait": 7 * S, "talk": 2 * S}
    assert (alone.idle.longest_us, alone.idle.longest_at_us) == (5 * S, 35 * S)
    assert alone.order.observed == ("incision", "viscoelastic", "capsulorhexis", "sculpt")
    assert alone.order.repeated == ()
    assert alone.events.total == 4


def test_no_phases_give_nothing() -> None:
    found = figures([tag("idle", "wait", 1, 5), tag("event", "good-move", 2)], DIVIDE)
    assert found.observed_us == 0
    assert found.phases == ()
    assert found.transitions == ()
    assert (found.idle.total_us, found.idle.share, found.idle.by_reason) == (0, 0.0, {})
    assert found.idle.longest_at_us is None
    assert found.events.total == 1
    assert found.events.per_minute is None
    assert found.order.missing == DIVIDE.phase_codes
    assert found.order.distance == len(DIVIDE.phases)


def test_spans_of_one_phase_that_touch_or_overlap_are_one_visit() -> None:
    tags = [tag("phase", "cortex", a, b) for a, b in ((1, 3), (3, 5), (4, 6))]
    (phase,) = figures(tags, DIVIDE).phases
    assert phase.visit_us == (5 * S,)
    assert figures(tags, DIVIDE).conflicts == ()


def test_overlapping_phases_are_conflicts_and_are_counted_once() -> None:
    """Cortex 0-10 and polish 6-14: observed 14, conflict 6-10, idle nothing."""
    found = figures([tag("phase", "polish", 6, 14), tag("phase", "cortex", 0, 10)], DIVIDE)
    assert found.observed_us == 14 * S
    assert found.idle.total_us == 0
    (conflict,) = found.conflicts
    assert (conflict.first, conflict.second) == ("cortex", "polish")
    assert (conflict.start_us, conflict.end_us) == (6 * S, 10 * S)


def test_phases_out_of_order_are_those_first_visited_late() -> None:
    codes = ("incision", "cortex", "sculpt", "lens", "crack", "cortex")
    tags = [tag("phase", code, n, n + 1) for n, code in enumerate(codes)]
    order = figures(tags, DIVIDE).order
    assert order.out_of_order == ("sculpt", "crack")
    assert order.repeated == ("cortex",)


def test_a_case_by_the_book_has_distance_nothing() -> None:
    tags = [tag("phase", code, n, n + 1) for n, code in enumerate(DIVIDE.phase_codes)]
    order = figures(tags, DIVIDE).order
    assert (order.distance, order.missing, order.repeated, order.out_of_order) == (0, (), (), ())


def test_a_code_unknown_to_the_vocabulary_is_kept_behind_the_known() -> None:
    tags = [tag("phase", "ancient", 0, 4), tag("phase", "closure", 4, 5)]
    found = figures(tags, DIVIDE)
    assert [(p.code, p.label) for p in found.phases] == [
        ("closure", "Closure"),
        ("ancient", "ancient"),
    ]
    assert found.order.out_of_order == ()


def both(found: SessionFigures) -> list[SessionFigures]:
    return [found, *([found.operator_only] if found.operator_only else [])]


@given(session_tags(phases_overlap=False))
def test_active_times_and_idle_add_up_to_observed(tags: list[Tag]) -> None:
    for found in both(figures(tags, WORDS)):
        assert found.conflicts == ()
        active_us = sum(phase.active_us for phase in found.phases)
        assert active_us + found.idle.total_us == found.observed_us


@given(session_tags())
def test_idle_parts_and_visits_add_up(tags: list[Tag]) -> None:
    for found in both(figures(tags, WORDS)):
        idle = found.idle
        assert idle.tagged_us + idle.untagged_us == idle.total_us <= found.observed_us
        assert min(idle.tagged_us, idle.untagged_us) >= 0
        reasons = idle.by_reason.values()
        assert max(reasons, default=0) <= idle.tagged_us <= sum(reasons)
        assert idle.longest_us <= idle.total_us
        for phase in found.phases:
            assert sum(phase.visit_us) == phase.total_us
            assert 0 <= phase.active_us <= phase.total_us <= found.observed_us
        assert sum(t.count for t in found.transitions) == max(0, len(found.order.observed) - 1)
        assert len(found.order.observed) == sum(len(p.visit_us) for p in found.phases)


@given(session_tags(), st.randoms(use_true_random=False))
def test_the_order_of_tags_does_not_matter(tags: list[Tag], random: object) -> None:
    shuffled = list(tags)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert figures(shuffled, WORDS) == figures(tags, WORDS)


@given(session_tags(), st.integers(0, 10**10))
def test_a_shift_changes_times_and_no_length(tags: list[Tag], shift_us: int) -> None:
    moved = [
        replace(
            t,
            start_us=t.start_us + shift_us,
            end_us=None if t.end_us is None else t.end_us + shift_us,
        )
        for t in tags
    ]
    for before, after in zip(both(figures(tags, WORDS)), both(figures(moved, WORDS)), strict=True):
        assert after.observed_us == before.observed_us
        assert [p.visit_us for p in after.phases] == [p.visit_us for p in before.phases]
        assert [p.active_us for p in after.phases] == [p.active_us for p in before.phases]
        assert after.idle.by_reason == before.idle.by_reason
        assert (after.idle.total_us, after.idle.longest_us) == (
            before.idle.total_us,
            before.idle.longest_us,
        )
        if before.idle.longest_at_us is not None:
            assert after.idle.longest_at_us == before.idle.longest_at_us + shift_us
        assert after.order == before.order
        assert after.events == before.events


@given(session_tags())
def test_the_operator_alone_and_the_hand_over_make_the_whole(tags: list[Tag]) -> None:
    found = figures(tags, WORDS)
    spans = {
        kind: union((t.start_us, t.end_us) for t in tags if t.kind is kind and t.end_us is not None)
        for kind in TagKind
    }
    alone = found.operator_only
    if not spans[TagKind.HAND_OVER]:
        assert alone is None
        return
    assert alone is not None
    phases = spans[TagKind.PHASE]
    observed = ((phases[0][0], phases[-1][1]),) if phases else ()
    others_us = measure(intersect(spans[TagKind.HAND_OVER], observed))
    assert alone.observed_us + others_us == found.observed_us


@given(session_tags())
def test_cutting_a_span_in_two_that_touch_changes_nothing(tags: list[Tag]) -> None:
    cut: list[Tag] = []
    for t in tags:
        if t.end_us is None or t.end_us - t.start_us < 2:
            cut.append(t)
            continue
        middle = (t.start_us + t.end_us) // 2
        cut += [
            replace(t, start_us=a, end_us=b) for a, b in pairwise((t.start_us, middle, t.end_us))
        ]
    assert figures(cut, WORDS) == figures(tags, WORDS)
