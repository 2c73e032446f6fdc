"""The panel of the picture's tone and way round.

It lies at the foot of the side column: picture, timeline and tag pad stay in sight. Where the
column is hidden, it lies in the picture's upper right corner, clear of its centre.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QDoubleSpinBox,
    QFrame,
    QGridLayout,
    QLabel,
    QPushButton,
    QSlider,
    QWidget,
)

from annotate.clip.showing import Tone
from app.commands.table import action
from app.review.case_looks import BRIGHTNESS, CONTRAST, GAMMA

_STEPS = 100
"""Steps of a slider for a whole unit."""
_ROWS = (
    ("brightness", "Brightness", BRIGHTNESS),
    ("contrast", "Contrast", CONTRAST),
    ("gamma", "Gamma", GAMMA),
)
_DEEDS = ("turn", "mirror", "look-as-filmed")
_WIDTH_PX = 380
_EDGE_PX = 6
_SLIDING = (
    Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Home,
    Qt.Key.Key_End, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown,
)  # fmt: skip
_MOVES = {QEvent.Type.Resize, QEvent.Type.Move, QEvent.Type.Show, QEvent.Type.Hide}
_PRESSING = (Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter)


class OwnKeys(QObject):
    """Lets controls have the keys that they use themselves, shortcuts of the window or not."""

    def __init__(self, keys: Sequence[Qt.Key], parent: QObject) -> None:
        super().__init__(parent)
        self._keys = frozenset(keys)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take the offer of such a key."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            is_plain = not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
            if is_plain and event.key() in self._keys:
                event.accept()
                return True
        return super().eventFilter(watched, event)


class LookPanel(QFrame):
    """Three sliders with their numbers, and what turns the picture.

    Signals
    -------
    tone_wished
        A tone was set.
    wished
        Id of an action.
    left
        The panel was closed by its key.
    """

    tone_wished = Signal(object)
    wished = Signal(str)
    left = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._screen = parent
        self._side, self._picture = QWidget(self), QWidget(self)
        self.setProperty("panel", True)
        self.setAccessibleName("Tone of the picture")
        self.setAutoFillBackground(True)
        self._tone = Tone()
        self._sliding, self._pressing = OwnKeys(_SLIDING, self), OwnKeys(_PRESSING, self)
        self.sliders: dict[str, QSlider] = {}
        self.numbers: dict[str, QDoubleSpinBox] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(12, 8, 12, 8)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(1, 1)
        for row, (name, words, limits) in enumerate(_ROWS):
            self._add_row(grid, row, name, words, limits)
        for row, action_id in enumerate(_DEEDS):
            grid.addWidget(self._button(action_id), row, 3)
        self.hide()

    def _add_row(
        self, grid: QGridLayout, row: int, name: str, words: str, limits: tuple[float, float]
    ) -> None:
        slider = QSlider(Qt.Orientation.Horizontal)
        slider.setRange(round(limits[0] * _STEPS), round(limits[1] * _STEPS))
        slider.setPageStep(10)
        slider.setAccessibleName(words)
        number = QDoubleSpinBox()
        number.setRange(*limits)
        number.setSingleStep(1 / _STEPS)
        number.setDecimals(2)
        number.setAccessibleName(f"{words}, as a number")
        label = QLabel(words)
        label.setBuddy(slider)
        self.sliders[name], self.numbers[name] = slider, number
        slider.valueChanged.connect(self._taker(name, 1 / _STEPS))
        number.valueChanged.connect(self._taker(name, 1))
        for place, widget in enumerate((label, slider, number)):
            grid.addWidget(widget, row, place)
        slider.installEventFilter(self._sliding)
        number.installEventFilter(self._sliding)

    def _button(self, action_id: str) -> QPushButton:
        entry = action(action_id)
        button = QPushButton(entry.label)
        button.setAutoDefault(False)
        button.setToolTip(f"{entry.help} ({entry.key})")
        button.setProperty("action", action_id)
        button.clicked.connect(self._press)
        button.installEventFilter(self._pressing)
        return button

    def _press(self) -> None:
        self.wished.emit(self.sender().property("action"))

    def _taker(self, name: str, unit: float) -> Callable[[float], None]:
        def take(value: float) -> None:
            self.show_tone(replace(self._tone, **{name: round(value * unit, 2)}))
            self.tone_wished.emit(self._tone)

        return take

    def show_tone(self, tone: Tone) -> None:
        """Set the controls without wishing for anything."""
        self._tone = tone
        for name in self.sliders:
            value = getattr(tone, name)
            for control, shown in (
                (self.sliders[name], round(value * _STEPS)),
                (self.numbers[name], value),
            ):
                was_blocked = control.blockSignals(True)
                control.setValue(shown)
                control.blockSignals(was_blocked)

    def lie_by(self, side: QWidget, picture: QWidget) -> None:
        """Say where it may lie; it follows both when they change."""
        self._side, self._picture = side, picture
        for widget in (side, picture):
            widget.installEventFilter(self)

    def open(self) -> None:
        """Stand there and take the keys."""
        self._place()
        self.show()
        self.raise_()
        next(iter(self.sliders.values())).setFocus(Qt.FocusReason.PopupFocusReason)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the side column and the picture."""
        if event.type() in _MOVES and self.isVisible():
            self._place()
        return super().eventFilter(watched, event)

    def _place(self) -> None:
        by = self._picture if self._side.isHidden() else self._side
        room = QRect(by.mapTo(self._screen, QPoint(0, 0)), by.size())
        room.adjust(_EDGE_PX, _EDGE_PX, -_EDGE_PX, -_EDGE_PX)
        wanted = self.sizeHint().expandedTo(self.minimumSizeHint())
        width = min(max(_WIDTH_PX, self.minimumSizeHint().width()), room.width())
        top = room.top() if by is self._picture else room.bottom() + 1 - wanted.height()
        self.setGeometry(room.right() + 1 - width, top, width, wanted.height())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.leave()
            return
        super().keyPressEvent(event)

    def leave(self) -> None:
        """Close, and give the keys back."""
        self.hide()
        self.left.emit()
