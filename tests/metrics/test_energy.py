"""Totals of ultrasound: invariants, and what is said of what was not noted."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from setting_rows import S, setting
from tag_rows import tag

from annotate.marks import Setting
from metrics.energy import MachineTotals, added, energy, machine_key, phaco_us
from metrics.energy_document import energy_document

_PERCENT = st.none() | st.integers(0, 100)


@st.composite
def spans(draw: st.DrawFn, machines: tuple[str, ...] = ("North", "South", "")) -> list[Setting]:
    """Spans one after another, with or without each value."""
    found: list[Setting] = []
    at_s = 0.0
    for _ in range(draw(st.integers(0, 6))):
        at_s += draw(st.integers(0, 20))
        length_s = draw(st.integers(1, 60))
        found.append(
            setting(
                at_s,
                at_s + length_s,
                power_percent=draw(_PERCENT),
                torsional_percent=draw(_PERCENT),
                duty_cycle_percent=draw(_PERCENT),
                energy_s=draw(st.none() | st.integers(0, length_s).map(float)),
                machine=draw(st.sampled_from(machines)),
            )
        )
        at_s += length_s
    return found


@given(spans())
def test_bounds_hold_for_each_machine(settings: list[Setting]) -> None:
    for totals in energy(settings).values():
        assert 0 < totals.phaco_us <= sum(s.end_us - s.start_us for s in settings)
        assert 0 <= totals.unnoted_us <= totals.phaco_us
        assert totals.powered_us <= totals.phaco_us
        if totals.effective_s is not None:
            assert totals.effective_s <= totals.phaco_us / S + 1e-6
            assert totals.dissipated is not None
            assert totals.dissipated >= totals.effective_s
        if totals.dissipated is not None:
            assert totals.dissipated <= 1.4 * totals.phaco_us / S + 1e-6
        mean = totals.average_power_percent
        assert mean is None or 0 <= mean <= 100


@given(spans())
def test_every_machine_has_its_own_time_and_no_other(settings: list[Setting]) -> None:
    found = energy(settings)
    for name, totals in found.items():
        own = [s for s in settings if machine_key(s.machine) == machine_key(name)]
        assert totals.phaco_us == pytest.approx(sum(phaco_us(s) for s in own), abs=len(own))
        assert energy(own) == {name: totals}


@given(spans(machines=("North",)), st.integers(0, 6))
def test_two_parts_of_a_case_add_up_to_the_whole(settings: list[Setting], at: int) -> None:
    first, second = energy(settings[:at]), energy(settings[at:])
    if "North" in first and "North" in second:
        both, whole = added(first["North"], second["North"]), energy(settings)["North"]
        assert both.phaco_us == pytest.approx(whole.phaco_us, abs=2)
        assert both.spans == whole.spans
        for part, all_of_it in (
            (both.effective_s, whole.effective_s),
            (both.dissipated, whole.dissipated),
            (both.average_power_percent, whole.average_power_percent),
        ):
            assert (part is None) is (all_of_it is None)
            assert part is None or part == pytest.approx(all_of_it, rel=1e-5, abs=1e-5)


@given(spans(machines=("North",)), st.integers(0, 200), st.integers(1, 200))
def test_operator_and_attending_share_the_time_out(
    settings: list[Setting], start_s: int, length_s: int
) -> None:
    handed = [tag("hand-over", "attending", start_s, start_s + length_s)]
    kept = [tag("hand-over", "attending", 0, start_s)] if start_s else []
    kept += [tag("hand-over", "attending", start_s + length_s, 10_000)]
    found = energy(settings, handed)
    if found:
        operator, rest = found["North"].operator_only, energy(settings, kept)["North"].operator_only
        assert operator is not None
        assert rest is not None
        assert operator.phaco_us + rest.phaco_us == pytest.approx(found["North"].phaco_us, abs=2)


@pytest.mark.parametrize("other", ["South", ""])
def test_energies_of_two_machines_are_never_added(other: str) -> None:
    found = energy(
        [
            setting(0, 10, power_percent=20, machine="North"),
            setting(10, 20, power_percent=20, machine=other),
        ]
    )
    assert list(found) == ["North", other]
    with pytest.raises(ValueError, match="cannot be added"):
        added(found["North"], found[other])
    if not other:
        with pytest.raises(ValueError, match="not named"):
            added(found[""], found[""])


def test_one_machine_written_in_two_ways_is_one_machine() -> None:
    found = energy(
        [
            setting(0, 10, power_percent=20, machine="North  2"),
            setting(10, 20, power_percent=40, machine=" north 2"),
        ]
    )
    assert list(found) == ["North 2"]
    assert found["North 2"].average_power_percent == pytest.approx(30)


def test_what_was_not_noted_is_told_apart() -> None:
    found = energy([setting(0, 42, energy_s=42.0), setting(42, 52, power_percent=50)])[""]
    assert found.phaco_us == 52 * S
    assert found.unnoted_us == 42 * S
    assert found.effective_s == pytest.approx(5)
    assert found.average_power_percent == pytest.approx(50)


@pytest.mark.parametrize(
    "values",
    [
        {},
        {"vacuum_mmhg": 400, "flow_cc_min": 30},
        {"power_percent": 0},
        {"power_percent": 0, "torsional_percent": 0, "duty_cycle_percent": 50},
        {"power_percent": 30, "energy_s": 0.0},
    ],
)
def test_spans_without_ultrasound_count_for_nothing(values: dict[str, float]) -> None:
    assert energy([setting(0, 60, **values)]) == {}


def test_time_read_off_is_shared_out_by_length_where_somebody_else_operated() -> None:
    span = setting(0, 100, power_percent=20, energy_s=50.0, machine="North")
    found = energy([span], [tag("hand-over", "attending", 60, 100)])["North"]
    assert found.effective_s == pytest.approx(10)
    assert not found.is_shared_out
    alone = found.operator_only
    assert alone is not None
    assert alone.is_shared_out
    assert alone.phaco_us == 30 * S
    assert alone.effective_s == pytest.approx(6)


def test_document_says_formula_source_and_each_machine() -> None:
    found = energy([setting(0, 60, power_percent=20)])
    document = energy_document(found)
    assert "0.4" in document["formula"]
    assert "from memory" in document["source"]
    assert document["machines"] == [
        {
            "machine": None, "spans": 1, "phaco_s": 60.0, "average_power_percent": 20.0,
            "effective_phaco_s": 12.0, "dissipated_energy": 12.0, "power_not_noted_s": 0.0,
            "is_shared_out_by_length": False, "operator_only": None,
        }
    ]  # fmt: skip


def test_totals_are_values() -> None:
    totals = MachineTotals("North", 1, S, S, 0.2, 0.2, 0)
    assert replace(totals, spans=1) == totals
    assert replace(totals, powered_us=0, effective_s=None).average_power_percent is None
