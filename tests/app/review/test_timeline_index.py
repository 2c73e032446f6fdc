"""What is in sight on the timeline, found by bisection, is what a look at every row finds."""

from __future__ import annotations

import numpy as np
from hypothesis import example, given
from hypothesis import strategies as st

from annotate.ids import RowId, SessionId
from annotate.marks import Mark, MarkKind
from annotate.markup import Markup, place_of
from annotate.tags import Leaning, Tag, TagKind
from annotate.vocabulary_file import shipped_vocabulary
from app.look.palette import DARK
from app.review.lanes import LEAST_RIBBON_PX, folded_from, folded_text, lay_out
from app.review.timeline_detail import (
    TOGETHER_PX,
    WIDE_PX,
    Scale,
    gathered,
    pins,
    span_detail,
    thinned,
)
from app.review.timeline_index import LEANINGS, timeline_index, times_of
from app.review.timeline_lanes import known_lanes
from app.strip.layout import StripFrame
from app.strip.mark_shapes import mark_shapes
from app.strip.shapes import Box

SESSION = SessionId("s")
VOCABULARY = shipped_vocabulary("phaco-divide-conquer")
moments = st.integers(0, 2_000)


def phase(n: int, start_us: int, length_us: int) -> Tag:
    return Tag(RowId(f"p{n}"), SESSION, TagKind.PHASE, "sculpt", start_us, start_us + length_us)


def event(n: int, at_us: int, leaning: Leaning | None = None, weight: int | None = None) -> Tag:
    return Tag(RowId(f"e{n}"), SESSION, TagKind.EVENT, "x", at_us, None, leaning, weight)


@st.composite
def spans(draw: st.DrawFn) -> list[Tag]:
    """Spans, which may overlap as those from a file do."""
    pairs = draw(st.lists(st.tuples(moments, st.integers(1, 900)), max_size=40))
    return sorted((phase(n, a, b) for n, (a, b) in enumerate(pairs)), key=place_of)


@st.composite
def events(draw: st.DrawFn) -> list[Tag]:
    leanings = st.sampled_from([None, *Leaning])
    weights = st.sampled_from([None, 1, 2, 3])
    rows = draw(st.lists(st.tuples(moments, leanings, weights), max_size=60))
    return sorted((event(n, *row) for n, row in enumerate(rows)), key=place_of)


@given(spans(), moments, moments)
def test_seen_is_all_that_reaches_into_the_stretch(rows: list[Tag], one: int, two: int) -> None:
    low, high = sorted((one, two))
    found = [rows[n] for n in times_of(rows).seen(low, high).tolist()]
    assert found == [t for t in rows if t.start_us <= high and (t.end_us or 0) >= low]


@given(spans(), moments, st.integers(1, 40), st.integers(1, 120))
@example([phase(0, 967, 21), phase(1, 975, 22)], 950, 25, 10)
def test_each_span_in_sight_is_drawn_wide_or_has_its_columns(
    rows: list[Tag], low: int, per_px: int, width: int
) -> None:
    scale = Scale(low, per_px, width)
    detail = span_detail(times_of(rows), scale)
    wide = set(detail.wide.tolist())
    assert all((rows[n].end_us or 0) - rows[n].start_us >= WIDE_PX * per_px for n in wide)
    for n, tag in enumerate(rows):
        is_seen = tag.start_us <= scale.end_us and (tag.end_us or 0) >= low
        column = (tag.start_us - low) // per_px
        if is_seen and n not in wide and 0 <= column < width:
            drawn = detail.columns[column]
            assert drawn >= 0
            length = (tag.end_us or 0) - tag.start_us
            assert (rows[drawn].end_us or 0) - rows[drawn].start_us >= length - 1e-9


@given(events(), moments, st.integers(1, 40), st.integers(10, 120))
def test_pins_that_fall_together_are_counted_and_none_is_lost(
    rows: list[Tag], low: int, per_px: int, width: int
) -> None:
    index = timeline_index(Markup(tags=tuple(rows)), [])
    scale = Scale(low, per_px, width)
    n_events = 0
    for number in range(len(LEANINGS)):
        found = pins(index.events, number, scale)
        n_events += int(found.counts.sum())
        assert len(found.x) <= (width + 2 * (16 + TOGETHER_PX)) / TOGETHER_PX + 2
        assert (np.diff(found.x) >= 0).all()
        with_first = [gathered(index.events, place, scale).size for place in found.places]
        inner = [n for n, x in enumerate(found.x) if 0 <= x <= width]
        assert all(with_first[n] == found.counts[n] for n in inner)
    over = (16 + TOGETHER_PX) * per_px
    assert n_events == sum(low - over <= t.start_us <= scale.end_us + over for t in rows)


@given(events(), st.integers(1, 30))
def test_pins_lie_still_while_the_timeline_is_panned(rows: list[Tag], per_px: int) -> None:
    index = timeline_index(Markup(tags=tuple(rows)), [])
    first, second = (pins(index.events, 0, Scale(low, per_px, 40)) for low in (500, 500 + per_px))
    common = set(first.places.tolist()) & set(second.places.tolist())
    inner = [n for n in range(len(first.places)) if 4 < first.x[n] < 34]
    assert all(int(first.places[n]) in common for n in inner)


@given(spans(), st.integers(1, 60))
def test_thinning_keeps_one_row_for_each_column(rows: list[Tag], per_px: int) -> None:
    scale = Scale(0, per_px, 10)
    kept = thinned(times_of(rows), scale).tolist()
    seen = times_of(rows).seen(0, scale.end_us).tolist()
    assert set(kept) <= set(seen)
    assert {rows[n].start_us // per_px for n in kept} == {rows[n].start_us // per_px for n in seen}


def test_a_running_span_ends_where_the_viewer_has_come_to() -> None:
    rows = [phase(0, 0, 100), phase(1, 200, 1800)]
    index = timeline_index(Markup(tags=tuple(rows)), ["sculpt"])
    shown = index.shown_until([phase(1, 200, 50)])
    assert shown.spans[TagKind.PHASE].ends.tolist() == [100, 250]
    assert index.spans[TagKind.PHASE].ends.tolist() == [100, 2000]


def test_what_did_not_change_is_not_gone_through_again() -> None:
    markup = Markup(tags=(phase(0, 0, 100),))
    first = timeline_index(markup, ["sculpt"])
    mark = Mark(RowId("m"), SESSION, MarkKind.RING, 5, 50, ((0.1, 0.1), (0.2, 0.2)))
    second = timeline_index(markup.with_rows([mark], ()), ["sculpt"], first)
    assert second.spans is first.spans
    assert len(second.marks.rows) == 1


@given(
    st.integers(30, 400),
    st.sets(st.sampled_from(["comments", "marks", "settings", "phases", "events"])),
)
def test_lanes_give_way_before_the_ribbon(height: int, folded: set[str]) -> None:
    mark = Mark(RowId("m"), SESSION, MarkKind.RING, 5, 50, ((0.1, 0.1), (0.2, 0.2)))
    strip_px, placed = lay_out(known_lanes(VOCABULARY), Markup(marks=(mark,)), folded, height)
    least_px = 16 if {"phases", "events"} <= folded else LEAST_RIBBON_PX
    assert strip_px >= min(height, least_px)
    assert "settings" not in {p.lane.id for p in placed}  # nothing is there
    assert not folded & {p.lane.id for p in placed}
    tops = [strip_px, *(p.top + p.height for p in placed)]
    assert [p.top for p in placed] == tops[:-1]
    assert abs(tops[-1] - height) < 1e-6
    assert all(p.height >= p.lane.least_px for p in placed)
    assert folded_from(folded_text(folded)) == folded


def test_a_mark_lies_where_its_time_is() -> None:
    mark = Mark(RowId("m"), SESSION, MarkKind.ARROW, 200, 600, ((0.1, 0.1), (0.2, 0.2)))
    frame = StripFrame(100, 16, margin=0, start_us=0, end_us=1000)
    boxes = [s for s in mark_shapes(Markup(marks=(mark,)), frame, DARK) if isinstance(s, Box)]
    assert [(b.x, b.width) for b in boxes] == [(20, 40)]
