"""Totals of each machine under the values, with the formula and the caution."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QWidget

from app.energy_words import (
    FORMULA_WORDS,
    NOT_COMPARED,
    SHORT_METHOD,
    USUAL,
    machine_name,
    total_remarks,
    total_rows,
)
from app.look.theme import current_palette
from metrics.energy import MachineTotals

EMPTY = (
    "Totals come with power: note power or torsional amplitude, and for how long ultrasound was "
    "on, if the machine says it."
)


class TotalsLabel(QLabel):
    """One block of words a machine; hovering gives the formulas in full."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.RichText)
        self.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName("Totals of the machine")
        self.setToolTip(FORMULA_WORDS)
        self.show_totals({})

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._take_room()

    def _take_room(self) -> None:
        """Columns that scroll take a label's least height for its only one."""
        self.setMinimumHeight(max(self.heightForWidth(self.width()), 0))

    def show_totals(self, totals: Mapping[str, MachineTotals]) -> None:
        """Say these."""
        self.setText(totals_html(totals) if totals else EMPTY)
        self._take_room()


def totals_html(totals: Mapping[str, MachineTotals]) -> str:
    """Write totals as a label shows them; the machine's name is foreign text."""
    blocks = []
    for each in totals.values():
        blocks.append(f"<b>{escape(machine_name(each))}</b>: {_said(each)}")
        if each.operator_only is not None:
            blocks.append(f"Operator alone: {_said(each.operator_only)}")
    quiet = current_palette().quiet
    method = escape(f"{SHORT_METHOD} {USUAL} {NOT_COMPARED}")
    small = f'<span style="color: {quiet}">{method}</span>'
    return "<br>".join([*blocks, small])


def _said(totals: MachineTotals) -> str:
    rows = ", ".join(f"{name.lower()} <b>{value}</b>" for name, value in total_rows(totals))
    remarks = "".join(f" {escape(remark)}" for remark in total_remarks(totals))
    return f"{rows}.{remarks}"
