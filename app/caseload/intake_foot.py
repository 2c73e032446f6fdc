"""The foot of the intake: what is wrong, or how far the work is, in the same room."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QLabel, QProgressBar, QStackedWidget, QVBoxLayout, QWidget

from app.jobs.work import Work

_LOOK_MS = 100
_N_LINES = 3


class IntakeFoot(QStackedWidget):
    """Says a sentence, or follows a work; it takes no room while there is nothing to say."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._work: Work | None = None
        self._words = QLabel("")
        self._words.setWordWrap(True)
        self._words.setProperty("trouble", True)
        self._words.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self._words.setAccessibleName("What is wrong")
        self._words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._title = QLabel("")
        self._bar = QProgressBar()
        self._bar.setAccessibleName("Progress of the intake")
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._title)
        column.addWidget(self._bar)
        column.addStretch(1)
        self.addWidget(self._words)
        self.addWidget(page)
        self.setFixedHeight(self.fontMetrics().lineSpacing() * _N_LINES + 6)
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self._look)
        self.hide()

    @property
    def trouble(self) -> str:
        """What is said."""
        return self._words.text()

    @property
    def is_following(self) -> bool:
        """Whether a work is shown."""
        return self._work is not None

    def say(self, sentence: str) -> None:
        """Say a sentence; none where it is empty."""
        self._words.setText(sentence)
        self.setVisible(bool(sentence) or self.is_following)
        self._words.setToolTip(sentence)

    def follow(self, work: Work) -> None:
        """Show how far a work is."""
        self._work = work
        self.setCurrentIndex(1)
        self.show()
        self._look()
        self._timer.start()

    def let_go(self) -> None:
        """Show it no longer."""
        self._work = None
        self._timer.stop()
        self.setVisible(bool(self.trouble))
        self.setCurrentIndex(0)

    def _look(self) -> None:
        if self._work is None:
            return
        share, left = self._work.share, self._work.left_s
        self._bar.setRange(0, 0 if share is None else 1000)
        if share is not None:
            self._bar.setValue(round(share * 1000))
        rest = f", {left:.0f} s left" if left is not None and left >= 1 else ""
        self._title.setText(f"{self._work.title}{rest}")
