from __future__ import annotations

import pytest

from annotate.people import TrainingLevel
from annotate.tags import TagKind
from app.demo.learning_curve import LEARNERS, NUCLEUS_SHARES, RANGES, phase_s
from app.demo.tag_only import make_case


def test_same_case_is_made_each_time() -> None:
    assert make_case(LEARNERS[0], 21) == make_case(LEARNERS[0], 21)


def test_spans_of_phases_and_idle_follow_one_another_without_overlap() -> None:
    for learner in LEARNERS:
        for number in learner.numbers:
            kinds = (TagKind.PHASE, TagKind.IDLE)
            spans = [m for m in make_case(learner, number).moments if m.kind in kinds]
            ends = [span.end_us or 0 for span in spans]
            assert all(
                end <= after.start_us for end, after in zip(ends, spans[1:], strict=False)
            ), (learner.code, number)


@pytest.mark.parametrize("code", RANGES)
def test_phases_become_shorter_and_stay_within_the_planning_range(code: str) -> None:
    level = TrainingLevel.RESIDENT
    lengths = [phase_s(code, number, level) for number in (1, 10, 40, 300)]
    assert lengths == sorted(lengths, reverse=True)
    assert lengths[0] == RANGES[code].first_s
    assert lengths[-1] > RANGES[code].resident_s


def test_shares_of_the_nucleus_add_up() -> None:
    for shares in NUCLEUS_SHARES.values():
        assert sum(shares.values()) == pytest.approx(1.0)
