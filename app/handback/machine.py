"""What a note says of the machine: totals of ultrasound, and limits that the reviewer took."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from annotate.clock import to_ms
from annotate.markup import Markup
from annotate.vocabulary import Vocabulary
from app.energy_words import (
    APART,
    NOTE_METHOD,
    machine_name,
    total_remarks,
    total_rows,
)
from app.handback.wording import clean_text
from app.setting_words import breach_words, is_taken
from metrics.energy import MachineTotals, energy
from metrics.energy_document import energy_document
from metrics.setting_limits import Breach, breaches

HEADING = "The machine"
HEAD = (
    "Machine",
    "Phaco time",
    "Mean longitudinal power",
    "Effective phaco time",
    "Dissipated energy",
)


@dataclass(frozen=True, slots=True)
class MachineRow:
    """Totals of one machine, whole or of the operator alone, as cells under `HEAD`."""

    label: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TakenLimit:
    """A limit that was passed, and that the reviewer took into the review."""

    start_us: int
    end_us: int
    text: str


@dataclass(frozen=True, slots=True)
class MachineSection:
    """The section of a note on the machine.

    Attributes
    ----------
    remarks : tuple of str
        What was not noted or was shared out; formula and caution.
    document : dict
        The totals as plain values.
    """

    rows: tuple[MachineRow, ...]
    limits: tuple[TakenLimit, ...]
    remarks: tuple[str, ...]
    document: dict[str, Any]


def machine_section(markup: Markup, vocabulary: Vocabulary, operator: str) -> MachineSection | None:
    """Say what machine values add up to; None where there is nothing to say."""
    totals = energy(markup.settings, markup.tags)
    found = breaches(markup.settings, markup.tags, vocabulary)
    limits = tuple(_taken(each, vocabulary) for each in found if is_taken(each, markup))
    if not totals and not limits:
        return None
    remarks = [remark for each in totals.values() for remark in _remarks(each)]
    return MachineSection(
        rows=tuple(row for each in totals.values() for row in _rows(each, operator)),
        limits=limits,
        remarks=(*remarks, APART, NOTE_METHOD) if totals else (APART,),
        document=energy_document(totals),
    )


def machine_document(section: MachineSection) -> dict[str, Any]:
    """Write the section as plain values, times in seconds."""
    return {
        **section.document,
        "caution": APART,
        "limits_passed": [
            {"start_s": to_ms(each.start_us) / 1000, "end_s": to_ms(each.end_us) / 1000,
             "text": each.text}
            for each in section.limits
        ],
    }  # fmt: skip


def _rows(totals: MachineTotals, operator: str) -> Iterator[MachineRow]:
    name = clean_text(machine_name(totals))
    yield _row(name, totals)
    if totals.operator_only is not None:
        yield _row(f"{name}, {operator} alone", totals.operator_only)


def _row(label: str, totals: MachineTotals) -> MachineRow:
    return MachineRow(label, tuple(value for _, value in total_rows(totals)))


def _remarks(totals: MachineTotals) -> Iterator[str]:
    alone = totals.operator_only
    said = dict.fromkeys((*total_remarks(totals), *(total_remarks(alone) if alone else ())))
    yield from (f"{clean_text(machine_name(totals))}: {remark}" for remark in said)


def _taken(breach: Breach, vocabulary: Vocabulary) -> TakenLimit:
    words = clean_text(breach_words(breach, vocabulary))
    return TakenLimit(breach.start_us, breach.end_us, words)
