"""One line at the foot of the desk: what was said last, and how far long work is."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QWidget

from app.jobs.background import Background

_SHOWN_MS = 12_000
_PATIENCE_S = 0.6
"""Work that is done sooner shows no progress."""


class MessageBar(QWidget):
    """Hidden while there is nothing to say."""

    def __init__(self, background: Background, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._background = background
        self._words = QLabel("")
        self._words.setWordWrap(True)
        self._words.setAccessibleName("Message")
        self._words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._bar = QProgressBar()
        self._bar.setMaximum(1000)
        self._bar.setFixedWidth(220)
        self._bar.setAccessibleName("Progress")
        self._task = QLabel("")
        self._task.setAccessibleName("What is being done")
        self._left = QLabel("")
        self._left.setProperty("quiet", True)
        self._stop = QPushButton("Stop")
        self._stop.clicked.connect(background.cancel_all)
        self._close = QPushButton("Close")
        self._close.clicked.connect(self.hide_words)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 4, 12, 4)
        row.addWidget(self._words, 1)
        row.addWidget(self._task)
        row.addWidget(self._left)
        row.addWidget(self._bar)
        row.addWidget(self._stop)
        row.addWidget(self._close)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_SHOWN_MS)
        self._timer.timeout.connect(self.hide_words)
        background.progressed.connect(self._show_progress)
        background.idle.connect(self._show_what_there_is)
        self._show_what_there_is()

    @property
    def words(self) -> str:
        """What is said now."""
        return self._words.text()

    def say(self, sentence: str, *, stays: bool = False) -> None:
        """Show a sentence; one that stays waits to be closed."""
        self._words.setText(sentence)
        self._show_what_there_is()
        if stays:
            self._timer.stop()
        else:
            self._timer.start()

    def hide_words(self) -> None:
        """Take the sentence away."""
        self._timer.stop()
        self._words.clear()
        self._show_what_there_is()

    def _show_what_there_is(self) -> None:
        """Show the sentence if one is said, the progress if work runs, and nothing else."""
        work = self._background.current
        is_working = work is not None and work.spent_s >= _PATIENCE_S
        for widget in (self._task, self._bar, self._left, self._stop):
            widget.setVisible(is_working)
        self._close.setVisible(bool(self.words))
        self.setVisible(is_working or bool(self.words))

    def _show_progress(self) -> None:
        work = self._background.current
        if work is None or work.spent_s < _PATIENCE_S:
            return
        self._task.setText(work.title)
        share = work.share
        self._bar.setRange(0, 0 if share is None else 1000)
        if share is not None:
            self._bar.setValue(round(share * 1000))
        left = work.left_s
        self._left.setText(f"{left:.0f} s left" if left is not None else "")
        self._show_what_there_is()
