"""The row under the picture: play, step, speed, where one is, and the sign that all is kept."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QToolButton, QWidget

from annotate.clock import format_time
from app.commands.table import action
from app.review.presenter import ReviewPresenter

_BUTTONS = (
    ("tag-back", "⇤"),
    ("second-back", "−1 s"),
    ("step-back", "◁"),
    ("play", "▶"),
    ("step-on", "▷"),
    ("second-on", "+1 s"),
    ("tag-on", "⇥"),
    ("slower", "slower"),
    ("faster", "faster"),
)


class Transport(QWidget):
    """Buttons for travelling, each with its key in the tooltip."""

    wished = Signal(str)

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._buttons: dict[str, QToolButton] = {}
        row = QHBoxLayout(self)
        row.setContentsMargins(6, 2, 6, 2)
        self.setStyleSheet("QToolButton { padding: 4px 7px; }")  # nine fit a narrow screen
        row.setSpacing(4)
        for action_id, face in _BUTTONS:
            entry = action(action_id)
            button = QToolButton()
            button.setText(face)
            button.setToolTip(f"{entry.label} ({entry.key})")
            button.setAccessibleName(entry.label)
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            button.setProperty("action", action_id)
            button.clicked.connect(self._press)
            self._buttons[action_id] = button
            row.addWidget(button)
        self._speed = QLabel("")
        self._speed.setAccessibleName("Speed")
        row.addWidget(self._speed)
        self._where = QLabel("")
        self._where.setAccessibleName("Time and frame")
        self._where.setTextInteractionFlags(Qt.TextInteractionFlag.NoTextInteraction)
        self._where.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._where.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        row.addWidget(self._where, 1)
        row.addSpacing(14)
        self._kept = QLabel("")
        self._kept.setProperty("quiet", True)
        self._kept.setAccessibleName("Whether everything is kept")
        row.addWidget(self._kept)
        presenter.play_changed.listen(self.refresh)
        presenter.markup_changed.listen(self.refresh)
        self.refresh()

    def _press(self) -> None:
        self.wished.emit(self.sender().property("action"))

    def refresh(self) -> None:
        """Show speed, play or pause, and the kept sign."""
        is_playing = self._presenter.is_playing
        self._buttons["play"].setText("❚❚" if is_playing else "▶")
        self._speed.setText(f"× {self._presenter.speed:g}")
        markup = self._presenter.markup
        n_rows = len(markup.tags) + len(markup.comments)
        if self._presenter.is_signed:
            self._kept.setText("✓ Signed")
        else:
            self._kept.setText("✓ Kept" if n_rows else "Nothing tagged")
        self._kept.setToolTip(f"{n_rows} tags and comments are kept; there is nothing to save")

    def set_has_clip(self, has_clip: bool) -> None:
        """Let the buttons that need a picture work, or not."""
        for action_id in ("play", "step-back", "step-on", "slower", "faster"):
            self._buttons[action_id].setEnabled(has_clip)
        self._speed.setVisible(has_clip)

    def show_where(self, time_us: int, number: int | None, n_frames: int) -> None:
        """Show the time, and the frame's number where there is a picture."""
        whole = format_time(self._presenter.length_us)[:-4]
        words = f"{format_time(time_us)} of {whole}"
        if number is not None:
            words += f"   frame {number} (0 to {n_frames - 1})"
        self._where.setText(words)
