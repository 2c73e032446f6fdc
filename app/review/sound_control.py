"""The transport's control of sound: a button that says how loud it is, and a slider."""

from __future__ import annotations

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QSlider, QToolButton, QWidget

from app.commands.table import action

LOUDEST = 100
STEP = 10
_SLIDER_PX = 46


class SoundControl(QObject):
    """Shows and sets volume, silence and the sound track; decides nothing.

    It is a button and a slider, to be laid out by whoever makes it.

    Signals
    -------
    volume_wished
        Per cent of the recording's own loudness.
    wished
        Id of an action.
    track_wished
        Which of several tracks, from 0.
    shown
        It shows something else now.

    Attributes
    ----------
    why_silent : str
        Why nothing is to be heard; empty where something is.
    is_off : bool
        Whether it is muted, or turned all the way down.
    state_words : str
        How it stands.
    """

    volume_wished = Signal(int)
    wished = Signal(str)
    track_wished = Signal(int)
    shown = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.button = QToolButton(parent)
        self.button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.button.clicked.connect(self._press)
        self.slider = QSlider(Qt.Orientation.Horizontal, parent)
        self.slider.setRange(0, LOUDEST)
        self.slider.setPageStep(STEP)
        self.slider.setFixedWidth(_SLIDER_PX)
        self.slider.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.slider.setAccessibleName("Volume")
        self.slider.valueChanged.connect(self._set)
        self.why_silent, self.state_words, self.is_off = "", "", False
        keep_width(self.button, ("Sound", "Sound off", "No sound"))
        self.show_sound(LOUDEST, is_muted=False)

    def _press(self) -> None:
        self.wished.emit("mute")

    def _set(self, value: int) -> None:
        self.volume_wished.emit(value)

    def show_sound(
        self,
        volume: int,
        *,
        is_muted: bool,
        why_silent: str = "",
        tracks: tuple[str, ...] = (),
        track: int = 0,
    ) -> None:
        """Show how it stands.

        Parameters
        ----------
        volume : int
            Per cent.
        why_silent : str
            Why no sound comes however loud it is set, such as 'This clip has no sound.'
        tracks : tuple of str
            Names of the sound tracks where there are several.
        """
        was_blocked = self.slider.blockSignals(True)
        self.slider.setValue(volume)
        self.slider.blockSignals(was_blocked)
        is_off = is_muted or volume == 0
        words = "No sound" if why_silent else "Sound off" if is_off else "Sound"
        mute = action("mute")
        keys = f"{mute.label} ({mute.key}); {action('louder').label} ({action('louder').key})"
        keys += f", {action('quieter').label.lower()} ({action('quieter').key})"
        state = why_silent or (f"Volume {volume} %, off" if is_muted else f"Volume {volume} %")
        self.button.setText(words)
        self.button.setToolTip(f"{state}\n{keys}")
        self.button.setAccessibleName(f"{words}: {state}")
        self.slider.setToolTip(f"{state}\n{keys}")
        self.slider.setEnabled(not why_silent)
        self.slider.setAccessibleDescription(state)
        self.button.setEnabled(not why_silent)
        self.why_silent, self.state_words, self.is_off = why_silent, state, is_off
        self._offer_tracks(tracks, track)
        self.shown.emit()

    def _offer_tracks(self, tracks: tuple[str, ...], track: int) -> None:
        """A menu at the button's side where there is a choice."""
        old = self.button.menu()
        if old is not None:
            self.button.setMenu(None)  # type: ignore[arg-type]
            old.deleteLater()
        modes = QToolButton.ToolButtonPopupMode
        self.button.setPopupMode(modes.DelayedPopup)
        if len(tracks) < 2:
            return
        menu = QMenu(self.button)
        for place, name in enumerate(tracks):
            entry = QAction(name, menu)
            entry.setCheckable(True)
            entry.setChecked(place == track)
            entry.setData(place)
            entry.triggered.connect(self._choose_track)
            menu.addAction(entry)
        self.button.setMenu(menu)
        self.button.setPopupMode(modes.MenuButtonPopup)

    def _choose_track(self) -> None:
        sender = self.sender()
        if isinstance(sender, QAction):
            self.track_wished.emit(int(sender.data()))


def keep_width(button: QToolButton, faces: tuple[str, ...]) -> None:
    """Give a button the width of the widest of its faces, so that nothing jumps beside it."""
    button.setStyleSheet("padding: 2px 4px;")
    button.ensurePolished()
    face, widest = button.text(), 0
    for other in faces:
        button.setText(other)
        widest = max(widest, button.sizeHint().width())
    button.setText(face)
    button.setMinimumWidth(widest)
