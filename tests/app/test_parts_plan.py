"""A plan of parts is changed step by step, and says what `Store.arrange` is to do."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from store_scenes import case, clip

from annotate.case import Case
from annotate.clip.joins import Join, JoinKind
from annotate.errors import UserFacingError
from app.intake.parts_plan import PartsPlan, facts, offset_text, offset_us
from app.review.join_marks import join_marks

S = 1_000_000


def three() -> Case:
    return case("C-1", clip("a"), clip("b", 30 * S), clip("c", 20 * S))


def plan_of(made: Case, join: Join | None = None) -> PartsPlan:
    pair = made.clips[0].id, made.clips[1].id
    return PartsPlan(made, {pair: join} if join else {}, {})


def test_an_offset_belongs_to_two_neighbours() -> None:
    made = three()
    a, b, c = (part.id for part in made.clips)
    plan = plan_of(made)
    plan.set_offset(1, "4.2")
    assert plan.order == [(a, 0), (b, 4_200_000), (c, 0)]
    assert plan.move(1, -1) == 0
    assert plan.order == [(b, 0), (a, 0), (c, 0)]
    plan.move(0, 1)
    assert plan.order == [(a, 0), (b, 4_200_000), (c, 0)]
    assert plan.move(0, -1) == 0


def test_what_was_found_is_taken_where_it_says_a_length() -> None:
    made = three()
    found = plan_of(made, Join(JoinKind.OVERLAP, -400_000, "12 frames come twice."))
    assert found.take_found(1)
    assert found.order[1][1] == -400_000
    assert "left out" in found.lines[1].lies
    jump = plan_of(made, Join(JoinKind.JUMP, None, "The picture jumps."))
    assert not jump.take_found(1)
    assert not jump.take_found(0)
    assert not jump.is_changed


@pytest.mark.parametrize(
    ("text", "expected_us"),
    [
        ("4.2", 4_200_000), ("-0.48", -480_000), ("1:05", 65 * S), ("-12 f", -400_400),
        ("12frames", 400_400), ("+3", 3 * S), ("\N{MINUS SIGN}2", -2 * S), ("0", 0),
    ],
)  # fmt: skip
def test_offsets_are_read(text: str, expected_us: int) -> None:
    assert offset_us(text, clip("a")) == expected_us


@pytest.mark.parametrize("text", ["", "-", "soon", "--", "12 g", "1e99"])
def test_what_is_no_offset_is_refused(text: str) -> None:
    with pytest.raises(UserFacingError):
        offset_us(text, clip("a"))


@given(st.integers(-(10**11), 10**11))
def test_an_offset_that_is_shown_can_be_typed(lead_us: int) -> None:
    assert offset_us(offset_text(lead_us), clip("a")) == lead_us


def test_the_first_part_takes_no_offset() -> None:
    with pytest.raises(UserFacingError, match="takes no offset"):
        plan_of(three()).set_offset(0, "1")


def test_a_part_is_told_by_length_size_rate_and_encoding() -> None:
    assert facts(clip("a")) == "0:01:00.000, 960 x 540, 29.97 frames a second (varies), h264"


def test_every_join_stands_on_the_timeline_with_what_is_known_of_it() -> None:
    marks = join_marks(three(), [Join(JoinKind.CONTINUES, 0, "The pictures go on."), None])
    assert [(m.ends_us, m.at_us, m.is_to_see) for m in marks] == [
        (60 * S, 60 * S, False), (90 * S, 90 * S, False),
    ]  # fmt: skip
    assert marks[0].words.endswith("Found: The pictures go on.")
    again = Join(JoinKind.CLOCK_STARTS_AGAIN, None, "The clock starts again.")
    assert join_marks(three(), [again])[0].is_to_see
    assert join_marks(case("C-2")) == ()
