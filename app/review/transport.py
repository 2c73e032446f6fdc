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
        row.setContentsMargins(8, 2, 8, 2)
        row.setSpacing(4)
        for action_id, face in _BUTTONS:
            entry = action(action_id)
            button = QToolButton()
            button.setText(face)
            button.setToolTip(f"{entry.label} ({entry.key})")
            button.setAccessibleName(entry.label)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
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
            self._kept.setText("✓ Kept" if n_rows else "Nothing yet")
        self._kept.setToolTip(f"{n_rows} tags and comments are kept; there is nothing to save")

    def show_where(self, time_us: int, number: int, n_frames: int) -> None:
        """Show where the picture is."""
        whole = format_time(self._presenter.length_us)[:-4]
        self._where.setText(f"{format_time(time_us)} of {whole}   frame {number} of {n_frames}")
