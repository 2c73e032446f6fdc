"""Totals of ultrasound in words, for the desk, the note and a terminal."""

from __future__ import annotations

from collections.abc import Mapping

from annotate.clock import US_PER_S, short_time
from metrics.energy import FORMULA, SOURCE, TIME_RULE, MachineTotals

APART = (
    "Noted by hand; what the machine itself shows counts. The numbers of two machines cannot be "
    "compared."
)
USUAL = "Effective: Randleman 2007; 0.4: the usual weight. Your machine's own display counts."
METHOD = f"{TIME_RULE}: the duty cycle is applied once, to the time. {FORMULA}."
FORMULA_WORDS = f"{METHOD} {USUAL}"
NOTE_METHOD = f"How the totals are worked out: {METHOD} Source: {SOURCE}."
SHORT_METHOD = (
    "Phaco time: as the machine counted it, else span \N{MULTIPLICATION SIGN} duty cycle. "
    "Effective: power \N{MULTIPLICATION SIGN} phaco time. Dissipated: effective + 0.4 "
    "\N{MULTIPLICATION SIGN} torsional amplitude \N{MULTIPLICATION SIGN} phaco time."
)
NOT_COMPARED = "Never compared between machines."
NOT_NOTED = "not noted"


def machine_name(totals: MachineTotals) -> str:
    """The machine's name, or that it has none."""
    return totals.machine or "Machine not named"


def total_rows(totals: MachineTotals) -> tuple[tuple[str, str], ...]:
    """Names and values of one machine's totals."""
    mean = totals.average_power_percent
    return (
        ("Phaco time", f"{totals.phaco_us / US_PER_S:.1f} s"),
        ("Mean longitudinal power", NOT_NOTED if mean is None else f"{mean:.1f} %"),
        ("Effective phaco time", _or_not(totals.effective_s, " s")),
        ("Dissipated energy", _or_not(totals.dissipated, "")),
    )


def total_remarks(totals: MachineTotals) -> tuple[str, ...]:
    """What a reader must know of one machine's totals, as sentences."""
    said = []
    if totals.unnoted_us:
        said.append(f"Power not noted for {short_time(totals.unnoted_us)}.")
    if totals.is_shared_out:
        said.append(
            "A time read off the machine is shared out by length, as somebody else operated in "
            "part of its span."
        )
    return tuple(said)


def energy_text(totals: Mapping[str, MachineTotals]) -> str:
    """Lay the totals out for a terminal; nothing where no ultrasound is noted."""
    lines: list[str] = []
    for each in totals.values():
        for title, part in ((machine_name(each), each), ("  operator alone", each.operator_only)):
            if part is not None:
                rows = "; ".join(f"{name.lower()} {value}" for name, value in total_rows(part))
                lines.append(f"{title}: {rows}")
                lines += [f"  {remark}" for remark in total_remarks(part)]
    return "\n".join([*lines, FORMULA_WORDS, APART]) if lines else ""


def _or_not(value: float | None, unit: str) -> str:
    return NOT_NOTED if value is None else f"{value:.1f}{unit}"
