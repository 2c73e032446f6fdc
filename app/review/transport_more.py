"""What the transport has no room for: the same controls on a small panel, with words and keys."""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, Qt, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QMouseEvent, QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QHBoxLayout,
    QLabel,
    QSlider,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.commands.table import action
from app.review.sound_control import LOUDEST, STEP

if TYPE_CHECKING:
    from app.review.sound_control import SoundControl

_GROUPS = {
    "steps": ("Frames", ("step-back", "step-on")),
    "seconds": ("Seconds", ("second-back", "second-on")),
    "tags": ("Tags", ("tag-back", "tag-on")),
    "speed": ("Speed", ("slower", "faster")),
    "loop": ("Loop", ("loop",)),
    "look": ("Tone", ("look-panel",)),
    "sound": ("Sound", ("mute", "sound-track")),
    "volume": ("Volume", ("quieter", "louder")),
}
_LINES = (("steps", "tags"), ("seconds", "loop"), ("speed", "volume"), ("sound", "look"))
"""Few, so that it fits between transport and foot and leaves the picture free."""
OFFERED = frozenset(_GROUPS)
"""Groups that have something to press."""
_SLIDER_PX = 80
_NEEDS_CLIP = ("step-back", "step-on", "slower", "faster", "loop", "look-panel")


class MorePanel(QFrame):
    """Rows of the groups that are hidden just now. A press beside it, or Escape, closes it.

    It takes no keys, so that they go on working on the picture.

    Signals
    -------
    wished
        Id of an action.
    """

    wished = Signal(str)

    def __init__(self, sound: SoundControl, parent: QWidget) -> None:
        super().__init__(parent)
        self._sound = sound
        self._button: QWidget | None = None
        self.setAutoFillBackground(True)
        self.setStyleSheet("QToolButton { padding: 1px 6px; }")
        self.hide()
        self.setProperty("panel", True)
        self.setAccessibleName("More controls")
        self.buttons: dict[str, QToolButton] = {}
        self._parts: dict[str, QWidget] = {}
        self._words: dict[str, QLabel] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 5, 10, 5)
        column.setSpacing(3)
        for groups in _LINES:
            row = QHBoxLayout()
            row.setSpacing(16)
            for group in groups:
                self._parts[group] = self._part(group)
                row.addWidget(self._parts[group])
            row.addStretch(1)
            column.addLayout(row)
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(0, LOUDEST)
        self.slider.setPageStep(STEP)
        self.slider.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.slider.setAccessibleName("Volume")
        self.slider.valueChanged.connect(sound.slider.setValue)
        self.slider.setFixedWidth(_SLIDER_PX)
        self._parts["volume"].layout().addWidget(self.slider)  # type: ignore[union-attr]
        self.buttons["loop"].setCheckable(True)
        self.buttons["mute"].setCheckable(True)
        self.length = QLabel("")
        self.length.setProperty("quiet", True)
        self.length.setAccessibleName("Length of the case")
        column.addWidget(self.length)
        speed = self._words["speed"]
        speed.setMinimumWidth(speed.fontMetrics().horizontalAdvance("Speed × 0.25"))
        sound.shown.connect(self._follow_sound)
        self._follow_sound()

    def _part(self, group: str) -> QWidget:
        title, action_ids = _GROUPS[group]
        part, words = QWidget(), QLabel(title)
        self._words[group] = words
        row = QHBoxLayout(part)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        row.addWidget(words)
        for action_id in action_ids:
            row.addWidget(self._make(action_id))
        return part

    def _make(self, action_id: str) -> QToolButton:
        entry = action(action_id)
        button = QToolButton()
        button.setText(f"{entry.label}  {entry.key}")
        button.setToolTip(f"{entry.help} ({entry.key})")
        button.setAccessibleName(entry.label)
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        button.setProperty("action", action_id)
        button.clicked.connect(self._press)
        self.buttons[action_id] = button
        return button

    def _press(self) -> None:
        self._do(str(self.sender().property("action")))

    def _do(self, action_id: str) -> None:
        if action_id == "look-panel":
            self.hide()  # another panel opens
        self.wished.emit(action_id)

    # How it stands

    def show_groups(self, hidden: AbstractSet[str]) -> None:
        """Have rows for these."""
        for group, part in self._parts.items():
            part.setVisible(group in hidden)
        if not hidden:
            self.hide()
        self._place()

    def say_length(self, words: str) -> None:
        """Say how long the case is, which the clock has no room for."""
        self.length.setText(words)
        self.length.setVisible(bool(words))

    def show_state(self, speed: float, loop: str, *, has_loop: bool, has_clip: bool) -> None:
        """Say how fast it runs and what is looped, and let those work that can."""
        self._words["speed"].setText(f"Speed × {speed:g}")
        self.buttons["loop"].setChecked(has_loop)
        self._words["loop"].setToolTip(loop)
        for action_id in _NEEDS_CLIP:
            self.buttons[action_id].setEnabled(has_clip)

    def _follow_sound(self) -> None:
        here, there = self.slider, self._sound.slider
        was_blocked = here.blockSignals(True)
        here.setValue(there.value())
        here.blockSignals(was_blocked)
        why = self._sound.why_silent
        self.buttons["sound-track"].setVisible(self._sound.button.menu() is not None)
        self._words["sound"].setText("No sound" if why else "Sound")
        self.buttons["mute"].setChecked(self._sound.is_off and not why)
        for widget in (self._words["sound"], self._words["volume"], here):
            widget.setToolTip(self._sound.state_words)
        for control in (here, *(self.buttons[a] for a in ("mute", "louder", "quieter"))):
            control.setEnabled(not why)
            control.setAccessibleDescription(self._sound.state_words)
        if self.isVisible():
            self._place()

    # Opening

    def open_at(self, button: QWidget, room: QWidget) -> None:
        """Lie on a part of the screen, under a button, or over it where there is no room below."""
        self._button = button
        self.setParent(room)
        self._place()
        self.show()
        self.raise_()

    def _place(self) -> None:
        room = self.parentWidget()
        if self._button is None or room is None:
            return
        self.layout().activate()  # type: ignore[union-attr]
        self.adjustSize()
        spot = QRect(self._button.mapTo(room, QPoint(0, 0)), self._button.size())
        top = spot.bottom() + 3
        if top + self.height() > room.height():
            top = spot.top() - self.height() - 2
        self.move(max(min(spot.right() + 1, room.width()) - self.width(), 0), max(top, 0))

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        QApplication.instance().installEventFilter(self)  # type: ignore[union-attr]

    def hideEvent(self, event: QHideEvent) -> None:
        QApplication.instance().removeEventFilter(self)  # type: ignore[union-attr]
        super().hideEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Close at a press beside it; close at Escape, and take that key."""
        if isinstance(event, QKeyEvent):
            if event.key() == Qt.Key.Key_Escape and event.type() == QEvent.Type.KeyPress:
                self.hide()
                return True
        elif isinstance(event, QMouseEvent) and event.type() == QEvent.Type.MouseButtonPress:
            mine = (self, self._button)
            if isinstance(watched, QWidget) and not any(
                own is not None and (watched is own or own.isAncestorOf(watched)) for own in mine
            ):
                self.hide()
        return super().eventFilter(watched, event)
