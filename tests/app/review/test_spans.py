"""Spans of one kind yield to each other."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from annotate.ids import RowId, SessionId
from annotate.tags import Tag, TagKind
from app.review.spans import fresh_tag, opened_span, parted, reshaped_span, span_at
from store import Drop, Put

SESSION = SessionId("s")
LENGTH_US = 1_000


def span(
    name: str, start: int, end: int, kind: TagKind = TagKind.PHASE, code: str = "sculpt"
) -> Tag:
    return Tag(RowId(name), SESSION, kind, code, start, end)


def applied(tags: list[Tag], changes: list[Put | Drop]) -> list[Tag]:
    kept = {tag.id: tag for tag in tags}
    for change in changes:
        if isinstance(change, Put):
            assert isinstance(change.row, Tag)
            kept[change.row.id] = change.row
        else:
            del kept[change.id]
    return sorted(kept.values(), key=lambda tag: tag.start_us)


def overlaps(tags: list[Tag]) -> bool:
    ends = [tag.end_us or 0 for tag in tags]
    return any(ends[i] > tags[i + 1].start_us for i in range(len(tags) - 1))


@st.composite
def ribbons(draw: st.DrawFn) -> list[Tag]:
    """Spans in order, apart or touching, none overlapping."""
    edges = sorted(draw(st.sets(st.integers(0, LENGTH_US), min_size=0, max_size=12)))
    pairs = list(zip(edges[::2], edges[1::2], strict=False))
    return [span(f"t{i}", a, b) for i, (a, b) in enumerate(pairs)]


@given(ribbons(), st.integers(0, LENGTH_US - 1))
def test_a_started_span_never_overlaps_another(tags: list[Tag], at_us: int) -> None:
    fresh = fresh_tag(SESSION, TagKind.PHASE, "crack", at_us)
    kept, changes = opened_span(tags, fresh, LENGTH_US)
    after = applied(tags, changes)
    assert kept in after
    assert kept.start_us == at_us
    assert not overlaps(after)


@given(ribbons(), st.integers(0, LENGTH_US - 1), st.integers(1, LENGTH_US))
def test_a_reshaped_span_never_overlaps_another(tags: list[Tag], start: int, length: int) -> None:
    shaped = span("t0" if tags else "new", start, min(start + length, LENGTH_US))
    after = applied(tags, reshaped_span(tags, shaped))
    assert shaped in after
    assert not overlaps(after)


@given(ribbons(), st.integers(0, LENGTH_US - 1), st.integers(1, LENGTH_US))
def test_what_the_span_does_not_touch_stays(tags: list[Tag], start: int, length: int) -> None:
    end = min(start + length, LENGTH_US)
    after = applied(tags, reshaped_span(tags, span("new", start, end)))
    for tag in tags:
        if (tag.end_us or 0) <= start or tag.start_us >= end:
            assert tag in after


def test_a_started_span_runs_on_to_the_next_of_its_kind() -> None:
    tags = [span("next", 500, 600), span("idle", 300, 400, TagKind.IDLE)]
    kept, _ = opened_span(tags, fresh_tag(SESSION, TagKind.PHASE, "crack", 200), LENGTH_US)
    assert kept.end_us == 500


def test_a_started_span_runs_to_the_end_where_nothing_follows() -> None:
    kept, _ = opened_span([], fresh_tag(SESSION, TagKind.PHASE, "crack", 200), LENGTH_US)
    assert kept.end_us == LENGTH_US


def test_the_span_that_still_runs_ends_where_the_new_one_starts() -> None:
    running = span("run", 100, LENGTH_US)
    _, changes = opened_span([running], fresh_tag(SESSION, TagKind.PHASE, "crack", 400), LENGTH_US)
    after = applied([running], changes)
    assert [(t.start_us, t.end_us) for t in after] == [(100, 400), (400, LENGTH_US)]


def test_a_span_covered_whole_goes_and_one_cut_in_the_middle_keeps_its_first_part() -> None:
    tags = [span("whole", 300, 400), span("long", 0, 250)]
    after = applied(tags, reshaped_span(tags, span("new", 200, 500)))
    assert [(t.id, t.start_us, t.end_us) for t in after] == [("long", 0, 200), ("new", 200, 500)]


def test_a_span_of_another_kind_yields_nothing() -> None:
    tags = [span("idle", 300, 400, TagKind.IDLE, "wait")]
    assert len(reshaped_span(tags, span("new", 200, 500))) == 1


def test_span_at_takes_the_start_in_and_leaves_the_end_out() -> None:
    tags = [span("a", 100, 200)]
    assert span_at(tags, TagKind.PHASE, 100) == tags[0]
    assert span_at(tags, TagKind.PHASE, 200) is None


@given(st.lists(st.tuples(st.integers(0, 12), st.integers(1, 8)), max_size=9), st.booleans())
def test_spans_that_lie_over_each_other_as_they_like_are_parted(
    pairs: list[tuple[int, int]], earlier_yields: bool
) -> None:
    """Also three deep, and where several begin together; nothing grows, nothing is made up."""
    tags = [span(f"t{n}", a, a + length) for n, (a, length) in enumerate(pairs)]
    found = sorted(parted(tags, earlier_yields=earlier_yields), key=lambda t: t.start_us)
    assert not overlaps(found)
    was = {tag.id: tag for tag in tags}
    assert all(t.start_us >= was[t.id].start_us for t in found)
    assert all((t.end_us or 0) <= (was[t.id].end_us or 0) for t in found)
    assert bool(found) == bool(tags)


def test_of_two_that_begin_together_the_longer_stands_or_goes_on_after_the_shorter() -> None:
    both = [span("long", 0, 10), span("short", 0, 4)]
    assert parted(both, earlier_yields=True) == [both[0]]
    rest = [(t.id, t.start_us, t.end_us) for t in parted(both, earlier_yields=False)]
    assert rest == [("short", 0, 4), ("long", 4, 10)]
