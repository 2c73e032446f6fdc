"""Tags stay on their pictures when parts move, and come back when the parts do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from annotate.ids import ClipId
from annotate.rearranging import Order, PlacedPart, Rearrangement

A, B, C = (PlacedPart(ClipId(name), 100) for name in "ABC")
N = PlacedPart(ClipId("N"), 50)


def led(part: PlacedPart, lead_us: int) -> PlacedPart:
    return replace(part, lead_us=lead_us)


def test_parts_that_change_places_take_their_spans_along() -> None:
    moved = Rearrangement([A, B, C], [B, A, C])
    assert moved.instant(5) == 105
    assert moved.spans(10, 20) == [(110, 120)]
    assert moved.spans(90, 110) == [(0, 10), (190, 200)]
    assert moved.spans(0, 300) == [(0, 300)]
    assert moved.spans(50, 250) == [(0, 100), (150, 250)]


def test_what_was_torn_apart_hangs_together_again() -> None:
    torn = Rearrangement([A, B, C], [B, A, C])
    back = Rearrangement([B, A, C], [A, B, C])
    pieces = [p for span in torn.spans(90, 110) for p in back.pieces(*span)]
    assert [span for span, _ in back.joined((p, 0) for p in pieces)] == [(90, 110)]


def test_a_part_added_between_tears_a_span_and_does_not_claim_the_new_part() -> None:
    added = Rearrangement([A, B], [A, N, B])
    assert added.spans(90, 110) == [(90, 100), (150, 160)]
    assert not added.is_still
    assert Rearrangement([A, B], [A, B, N]).is_still


def test_a_gap_between_neighbours_does_not_tear_a_span() -> None:
    widened = Rearrangement([A, B], [A, led(B, 40)])
    assert widened.spans(90, 110) == [(90, 150)]
    assert widened.instant(100) == 140
    closed = Rearrangement([A, led(B, 40)], [A, B])
    assert closed.spans(90, 150) == [(90, 110)]
    assert closed.instant(120) == 99, "in the gap the picture before it is shown"
    assert closed.spans(110, 130) == [(99, 100)]
    assert closed.spans(110, 150) == [(100, 110)]


def test_what_a_part_repeats_goes_to_the_equal_picture_before() -> None:
    found = Rearrangement([A, B], [A, led(B, -30)])
    assert found.instant(110) == 80, "picture 10 of B is picture 80 of A"
    assert found.spans(105, 120) == [(75, 90)]
    assert found.spans(110, 150) == [(80, 120)]
    assert found.spans(0, 110) == [(0, 80)], "ends on the equal picture"
    assert found.spans(100, 150) == [(100, 120)], "begins with the part, as before"
    assert found.spans(100, 120) == [(70, 90)]
    assert found.length_us == 170


def test_no_part_may_be_left_out() -> None:
    with pytest.raises(ValueError, match="keeps every part"):
        Rearrangement([A, B], [A])


@st.composite
def orders(draw: st.DrawFn, ids: Sequence[PlacedPart]) -> list[PlacedPart]:
    """The parts in some order with some leads."""
    shuffled = draw(st.permutations(ids))
    placed = [led(shuffled[0], 0)]
    for part in shuffled[1:]:
        before = placed[-1]
        shown = before.duration_us + min(before.lead_us, 0)
        placed.append(led(part, draw(st.integers(1 - min(part.duration_us, shown), 60))))
    return placed


@st.composite
def moves(draw: st.DrawFn) -> tuple[list[PlacedPart], list[PlacedPart]]:
    durations = draw(st.lists(st.integers(2, 90), min_size=1, max_size=6))
    parts = [PlacedPart(ClipId(str(n)), d) for n, d in enumerate(durations)]
    n_before = draw(st.integers(1, len(parts)))
    return draw(orders(parts[:n_before])), draw(orders(parts))


def picture(order: Order, time_us: int) -> tuple[ClipId, int]:
    ordinal, within = order.clock.to_clip(time_us)
    return order.parts[ordinal].id, min(within, order.parts[ordinal].duration_us - 1)


@given(moves(), st.data())
def test_every_moment_stays_on_its_picture(
    move: tuple[list[PlacedPart], list[PlacedPart]], data: st.DataObject
) -> None:
    before, after = Order(move[0]), Order(move[1])
    moved = Rearrangement(*move)
    time_us = data.draw(st.integers(0, before.clock.duration_us - 1))
    part, within = picture(before, time_us)
    place = after.place[part]
    now = picture(after, moved.instant(time_us))
    if within >= after.clock.left_out_us(place):
        assert now == (part, within)
    else:
        equal = after.clock.to_case(place, within)
        assert now == picture(after, equal)
        assert now[0] == after.parts[place - 1].id


@given(moves(), st.data())
def test_a_span_covers_the_same_pictures_as_before(
    move: tuple[list[PlacedPart], list[PlacedPart]], data: st.DataObject
) -> None:
    before, after = Order(move[0]), Order(move[1])
    start = data.draw(st.integers(0, before.clock.duration_us - 1))
    end = data.draw(st.integers(start + 1, before.clock.duration_us))
    spans = Rearrangement(*move).spans(start, end)
    assert all(0 <= a < b <= after.clock.duration_us for a, b in spans)
    assert spans == sorted(spans)
    assume(not any(p.lead_us < 0 for p in (*move[0], *move[1])))
    in_gap = {t for a, b in before.clock.gaps for t in range(a, b)}
    was = {picture(before, t) for t in range(start, end) if t not in in_gap}
    gaps_now = {t for a, b in after.clock.gaps for t in range(a, b)}
    shown = [picture(after, t) for a, b in spans for t in range(a, b) if t not in gaps_now]
    assert len(set(shown)) == len(shown)
    assert set(shown) >= was
    if start not in in_gap:
        assert set(shown) == was


@given(moves(), st.data())
def test_moving_the_parts_back_brings_every_span_back(
    move: tuple[list[PlacedPart], list[PlacedPart]], data: st.DataObject
) -> None:
    there = Rearrangement(*move)
    assume(len(move[0]) == len(move[1]))
    back = Rearrangement(move[1], move[0])
    clock, order = Order(move[0]).clock, Order(move[0])
    start = data.draw(st.integers(0, clock.duration_us - 1))
    end = data.draw(st.integers(start + 1, clock.duration_us))
    in_gap = {t for a, b in clock.gaps for t in range(a, b)}
    assume(start not in in_gap and end - 1 not in in_gap)
    after = Order(move[1])
    for time_us in (start, end - 1):
        part, within = picture(order, time_us)
        assume(within >= after.clock.left_out_us(after.place[part]))
    pieces = [p for span in there.spans(start, end) for p in back.pieces(*span)]
    assert [span for span, _ in back.joined((p, 0) for p in pieces)] == [(start, end)]
