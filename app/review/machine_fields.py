"""Fields for one set of machine values, with their units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QWidget

from annotate.errors import UserFacingError
from annotate.marks import Setting
from annotate.setting_values import LONGEST_WORDS, VALUES, ValueKind, number_in

_KEPT_KEYS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_ARROWS = (Qt.Key.Key_Up, Qt.Key.Key_Down)
_FIELD_PX = 44
_HINTS = {
    "power": ": mean longitudinal power",
    "torsional": ": mean torsional amplitude",
    "ultrasound-time": ": for how long it was on in this span, if the machine says it",
}


class ValueField(QLineEdit):
    """One value; Return keeps all, Escape leaves them as they were, arrows go up and down."""

    kept = Signal()
    left = Signal()

    def event(self, event: QEvent) -> bool:
        is_override = event.type() == QEvent.Type.ShortcutOverride
        if is_override and isinstance(event, QKeyEvent):
            is_plain = not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
            if is_plain and not Qt.Key.Key_F1 <= event.key() <= Qt.Key.Key_F35:
                event.accept()  # plain keys belong to the field while one types
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _KEPT_KEYS:
            self.kept.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.key() in _ARROWS:
            self.focusNextPrevChild(event.key() == Qt.Key.Key_Down)
        else:
            super().keyPressEvent(event)


class MachineFields(QWidget):
    """Mode, numbers with units, and the machine's name.

    Signals
    -------
    edited
        Somebody types in a field.
    kept, left
        Return, or Escape, was pressed in one.
    """

    edited = Signal()
    kept = Signal()
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(4)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(1, 1)
        self._grid.setColumnStretch(4, 1)
        self.mode = self._words("Mode", 0, "as the machine calls it: sculpt, chop")
        self.by_name: dict[str, ValueField] = {}
        for place, kind in enumerate(VALUES):
            self.by_name[kind.name] = self._number(kind, 1 + place // 2, place % 2 * 3)
        last = 1 + (len(VALUES) + 1) // 2
        self.machine = self._words("Machine", last, "its name, to keep totals apart")

    def show_setting(self, setting: Setting | None) -> None:
        """Show what is noted; nothing where there is none."""
        self.mode.setText(setting.mode if setting else "")
        self.machine.setText(setting.machine if setting else "")
        for kind in VALUES:
            value = kind.of(setting) if setting else None
            self.by_name[kind.name].setText("" if value is None else f"{value:g}")

    def values(self) -> Mapping[str, Any]:
        """What is typed, as fields of a setting.

        Raises
        ------
        UserFacingError
            If a number is none; its field has the keys then.
        """
        found: dict[str, Any] = {
            "mode": " ".join(self.mode.text().split()),
            "machine": " ".join(self.machine.text().split()),
        }
        for kind in VALUES:
            text = self.by_name[kind.name].text().strip()
            try:
                found[kind.name] = number_in(text) if text else None
            except ValueError:
                self._show_wrong(kind)
                raise UserFacingError(
                    f"{kind.label} is a number in {kind.unit}, not '{text[:20]}'.",
                    "It is still in its field; nothing was changed.",
                ) from None
        return found

    def begin(self) -> None:
        """Take the keys, with all of the mode chosen so that typing replaces it."""
        self.mode.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.mode.selectAll()

    def _show_wrong(self, kind: ValueKind) -> None:
        field = self.by_name[kind.name]
        field.setFocus(Qt.FocusReason.OtherFocusReason)
        field.selectAll()

    def _number(self, kind: ValueKind, row: int, column: int) -> ValueField:
        field = self._field(f"{kind.label}, {kind.unit}")
        field.setMinimumWidth(_FIELD_PX)
        field.setMaxLength(12)
        hint = f"{kind.label}, {kind.least:g} to {kind.most:g} {kind.unit}"
        field.setToolTip(f"{hint}{_HINTS.get(kind.code, '')}")
        self._grid.addWidget(_label(kind.label, field), row, column)
        self._grid.addWidget(field, row, column + 1)
        unit = QLabel(kind.unit)
        unit.setProperty("quiet", True)
        self._grid.addWidget(unit, row, column + 2)
        return field

    def _words(self, name: str, row: int, hint: str) -> ValueField:
        field = self._field(name)
        field.setMaxLength(LONGEST_WORDS)
        field.setPlaceholderText(hint)
        self._grid.addWidget(_label(name, field), row, 0)
        self._grid.addWidget(field, row, 1, 1, 5)
        return field

    def _field(self, name: str) -> ValueField:
        field = ValueField()
        field.setAccessibleName(name)
        field.textEdited.connect(self.edited)
        field.kept.connect(self.kept)
        field.left.connect(self.left)
        return field


def _label(words: str, field: QWidget) -> QLabel:
    label = QLabel(words)
    label.setBuddy(field)
    return label
