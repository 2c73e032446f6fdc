"""Limits of a phase: machine values that good practice keeps within bounds, a row each."""

from __future__ import annotations

from itertools import pairwise

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from annotate.vocabulary_check import UNITS
from app.vocabulary.draft import LimitDraft
from app.vocabulary.fields import Field, WordLine
from app.vocabulary.presenter import VocabularyPresenter

_BOUND_PX, _UNIT_PX, _SETTING_PX = 54, 66, 120


class LimitRow(QWidget):
    """One limit: setting, least, most, unit, and on whose word."""

    def __init__(self, presenter: VocabularyPresenter, ordinal: int, place: int) -> None:
        super().__init__()
        self._presenter, self._ordinal, self._place = presenter, ordinal, place
        self.setting = QComboBox()
        self.setting.setEditable(True)
        self.setting.addItems(list(UNITS))
        self.setting.setFixedWidth(_SETTING_PX)
        self.setting.setAccessibleName(f"Setting of limit {place + 1}")
        self.setting.editTextChanged.connect(lambda text: self._set("setting", text))
        self.lines = {
            "at_least": WordLine(f"Least value of limit {place + 1}", "least"),
            "at_most": WordLine(f"Most of limit {place + 1}", "most"),
            "unit": WordLine(f"Unit of limit {place + 1}", "unit"),
            "source": WordLine(f"Source of limit {place + 1}", "on whose word"),
        }
        for name, line in self.lines.items():
            line.textEdited.connect(lambda text, name=name: self._set(name, text))
        for name, width in (("at_least", _BOUND_PX), ("at_most", _BOUND_PX), ("unit", _UNIT_PX)):
            self.lines[name].setFixedWidth(width)
        self.remove = QPushButton("Remove")
        self.remove.setAccessibleName(f"Remove limit {place + 1}")
        self.remove.setAutoDefault(False)
        self.remove.clicked.connect(lambda: presenter.remove_limit(ordinal, place))
        row = QWidget()
        across = QHBoxLayout(row)
        across.setContentsMargins(0, 0, 0, 0)
        across.setSpacing(4)
        across.addWidget(self.setting)
        for name, line in self.lines.items():
            across.addWidget(line, int(name == "source"))
        across.addWidget(self.remove)
        self._field = Field(row)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._field)

    def show_limit(self, limit: LimitDraft) -> None:
        """Show what stands in a limit, and all that is wrong with it."""
        self.setting.blockSignals(True)
        if self.setting.currentText().strip() != limit.setting.strip():
            self.setting.setEditText(limit.setting)
            self._at_front()
        self.setting.blockSignals(False)
        for name, line in self.lines.items():
            line.put(getattr(limit, name))
        place = ("phase", self._ordinal, "limit", self._place)
        names = ("setting", *self.lines)
        faults = [fault for name in names if (fault := self._presenter.fault(*place, name))]
        self._field.say(" ".join(faults) or self._presenter.fault(*place))

    def _at_front(self) -> None:
        line = self.setting.lineEdit()
        if line is not None:
            line.setCursorPosition(0)

    def _set(self, field: str, text: str) -> None:
        self._presenter.set_limit(self._ordinal, self._place, field, text)


class LimitRows(QWidget):
    """All limits of a phase, and a button for one more."""

    def __init__(self, presenter: VocabularyPresenter) -> None:
        super().__init__()
        self._presenter = presenter
        self._ordinal = -1
        self.rows: list[LimitRow] = []
        self.more = QPushButton("Add a limit")
        self.more.setAutoDefault(False)
        self.more.clicked.connect(self._add)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        self._column.addWidget(self.more, 0, Qt.AlignmentFlag.AlignLeft)

    def show_limits(self, ordinal: int) -> None:
        """Show the limits of a phase."""
        limits = self._presenter.draft.phase[ordinal].limits
        if ordinal != self._ordinal or len(limits) != len(self.rows):
            self._ordinal = ordinal
            for row in self.rows:
                self._column.removeWidget(row)
                row.hide()
                row.deleteLater()
            self.rows = [LimitRow(self._presenter, ordinal, i) for i in range(len(limits))]
            for i, row in enumerate(self.rows):
                self._column.insertWidget(i, row)
            self._order_tabs()
        for row, limit in zip(self.rows, limits, strict=True):
            row.show_limit(limit)

    def _order_tabs(self) -> None:
        order: list[QWidget] = []
        for row in self.rows:
            order += [row.setting, *row.lines.values(), row.remove]
        order.append(self.more)
        for before, after in pairwise(order):
            QWidget.setTabOrder(before, after)

    def _add(self) -> None:
        self._presenter.add_limit(self._ordinal)
        self.rows[-1].setting.setFocus(Qt.FocusReason.OtherFocusReason)
