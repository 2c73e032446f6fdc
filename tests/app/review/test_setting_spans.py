"""Spans of machine values that are moved together, and those that make room for them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st
from setting_rows import S, setting

from annotate.marks import Setting
from annotate.markup import Markup
from app.review.setting_spans import put_settings
from app.review.timeline_tagging import previewed


def after(
    settings: list[Setting], shaped: list[Setting], *, earlier_yields: bool = True
) -> tuple[Setting, ...]:
    changes = put_settings(settings, shaped, earlier_yields=earlier_yields)
    return previewed(Markup(settings=tuple(settings)), changes).settings


def spans(settings: tuple[Setting, ...]) -> list[tuple[int, int]]:
    return [(each.start_us // S, each.end_us // S) for each in settings]


def test_of_two_that_meet_the_earlier_yields_or_the_later() -> None:
    first, second = setting(10, 20, vacuum_mmhg=80), setting(20, 30, vacuum_mmhg=350)
    longer = [replace(first, end_us=22 * S), replace(second, end_us=32 * S)]
    assert spans(after([first, second], longer)) == [(10, 20), (20, 32)]
    assert spans(after([first, second], longer, earlier_yields=False)) == [(10, 22), (22, 32)]


def test_a_part_cut_off_and_covered_by_another_leaves_no_trace() -> None:
    whole = setting(0, 100, vacuum_mmhg=80)
    inner, tail = setting(110, 120, flow_cc_min=20), setting(130, 180, flow_cc_min=30)
    moved = [replace(inner, start_us=10 * S, end_us=20 * S), replace(tail, start_us=20 * S)]
    made = after([whole, inner, tail], moved)
    assert spans(made) == [(0, 10), (10, 20), (20, 180)]
    known = {whole.id, inner.id, tail.id}
    assert {each.id for each in made} <= known


@given(
    edges=st.lists(st.integers(0, 200), min_size=4, max_size=16, unique=True).map(sorted),
    picked=st.sets(st.integers(0, 7), min_size=1),
    by=st.tuples(st.integers(-30, 30), st.integers(-30, 30)),
    earlier_yields=st.booleans(),
)
def test_one_set_holds_at_a_moment_however_several_are_moved(
    edges: list[int], picked: set[int], by: tuple[int, int], earlier_yields: bool
) -> None:
    pairs = zip(edges[::2], edges[1::2], strict=False)
    rows = [setting(start, end, vacuum_mmhg=50) for start, end in pairs]
    shaped = []
    for row in [row for place, row in enumerate(rows) if place in picked]:
        start_us = max(row.start_us + by[0] * S, 0)
        shaped.append(
            replace(row, start_us=start_us, end_us=max(row.end_us + by[1] * S, start_us + S))
        )
    made = after(rows, shaped, earlier_yields=earlier_yields)
    for one, other in pairwise(made):
        assert one.end_us <= other.start_us
    assert all(each.start_us < each.end_us for each in made)
    if len(shaped) == 1:
        assert shaped[0] in made
