"""Totals of ultrasound as plain values: what `figures --json` prints as ``energy``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from metrics.energy import FORMULA, SOURCE, TIME_RULE, MachineTotals


def energy_document(totals: Mapping[str, MachineTotals]) -> dict[str, Any]:
    """Write the totals of each machine as plain values, times in seconds.

    Returns
    -------
    dict
        Keys ``formula``, ``source`` and ``machines``, a list with one entry a machine. Entries
        are never to be added or compared.
    """
    return {
        "formula": f"{TIME_RULE}. {FORMULA}",
        "source": SOURCE,
        "machines": [machine_document(each) for each in totals.values()],
    }


def machine_document(totals: MachineTotals) -> dict[str, Any]:
    """Write one machine's totals as plain values; what was not noted is None."""
    alone = totals.operator_only
    return {
        "machine": totals.machine or None,
        "spans": totals.spans,
        "phaco_s": totals.phaco_us / 1_000_000,
        "average_power_percent": totals.average_power_percent,
        "effective_phaco_s": totals.effective_s,
        "dissipated_energy": totals.dissipated,
        "power_not_noted_s": totals.unnoted_us / 1_000_000,
        "is_shared_out_by_length": totals.is_shared_out,
        "operator_only": None if alone is None else machine_document(alone),
    }
