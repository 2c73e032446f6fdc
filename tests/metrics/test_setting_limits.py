"""Where machine values lie beyond a phase's limits."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from setting_rows import S, setting
from tag_rows import tag

from annotate.vocabulary_file import shipped_vocabulary
from metrics.setting_limits import breaches

DIVIDE = shipped_vocabulary("phaco-divide-conquer")


def test_a_breach_is_where_span_and_phase_meet() -> None:
    """Sculpting: vacuum at most 100 mmHg, flow 20 to 30 cc/min."""
    tags = [tag("phase", "sculpt", 10, 20), tag("phase", "sculpt", 30, 40)]
    span = setting(15, 35, vacuum_mmhg=300, flow_cc_min=15)
    found = breaches([span], tags, DIVIDE)
    assert [(b.start_us // S, b.end_us // S, b.setting, b.bound, b.is_above) for b in found] == [
        (15, 20, "flow", 20, False),
        (15, 20, "vacuum", 100, True),
        (30, 35, "flow", 20, False),
        (30, 35, "vacuum", 100, True),
    ]
    assert all("no source" in breach.source for breach in found)
    assert {breach.row_id for breach in found} == {span.id}


@pytest.mark.parametrize(
    "values", [{}, {"vacuum_mmhg": 100, "flow_cc_min": 20}, {"flow_cc_min": 30}]
)
def test_on_a_bound_and_not_noted_is_no_breach(values: dict[str, float]) -> None:
    assert not breaches([setting(0, 60, **values)], [tag("phase", "sculpt", 0, 60)], DIVIDE)


def test_no_breach_outside_of_the_phase() -> None:
    tags = [tag("phase", "incision", 0, 10), tag("phase", "sculpt", 10, 20)]
    assert not breaches([setting(0, 10, vacuum_mmhg=900)], tags, DIVIDE)


@given(
    st.lists(st.tuples(st.integers(0, 50), st.integers(1, 30), st.integers(0, 300)), max_size=8),
    st.lists(st.tuples(st.integers(0, 50), st.integers(1, 30)), max_size=5),
)
def test_every_breach_lies_in_its_span_and_is_beyond_its_bound(
    noted: list[tuple[int, int, int]], visits: list[tuple[int, int]]
) -> None:
    settings = [setting(a, a + n, vacuum_mmhg=v) for a, n, v in noted]
    tags = [tag("phase", "sculpt", a, a + n) for a, n in visits]
    by_id = {row.id: row for row in settings}
    found = breaches(settings, tags, DIVIDE)
    for breach in found:
        row = by_id[breach.row_id]
        assert row.start_us <= breach.start_us < breach.end_us <= row.end_us
        assert row.vacuum_mmhg is not None
        assert row.vacuum_mmhg > breach.bound
    high = [s for s in settings if (s.vacuum_mmhg or 0) > 100]
    met = {
        s.id
        for s in high
        for t in tags
        if t.end_us and s.start_us < t.end_us and t.start_us < s.end_us
    }
    assert {breach.row_id for breach in found} == met
