"""What stands on the screen while the store is opened or the demo is made."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QLabel, QMainWindow, QProgressBar, QPushButton, QVBoxLayout, QWidget

from app.jobs.background import Background


class StartWindow(QMainWindow):
    """A sentence, how far the work is, and a way out; closing it stops the work."""

    def __init__(self, sentence: str, background: Background) -> None:
        super().__init__()
        self.setWindowTitle("Starting")
        self._background = background
        self.words = QLabel(sentence)
        self.words.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.words.setWordWrap(True)
        self.words.setMinimumWidth(420)
        self.bar = QProgressBar()
        self.bar.setRange(0, 0)
        self.bar.setFixedWidth(320)
        self.bar.setAccessibleName("Progress")
        self.left = QLabel(" ")
        self.left.setProperty("quiet", True)
        self.leave = QPushButton("Stop")
        self.leave.clicked.connect(self.close)
        body = QWidget()
        column = QVBoxLayout(body)
        column.addStretch(2)
        for widget in (self.words, self.bar, self.left, self.leave):
            column.addWidget(widget, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(3)
        self.setCentralWidget(body)
        self.resize(900, 500)
        background.progressed.connect(self._look)

    def tell(self, sentence: str) -> None:
        """Say why there will be no desk."""
        self.words.setText(sentence)
        self.bar.hide()
        self.left.hide()
        self.leave.setText("Close")
        self.leave.setFocus()

    def _look(self) -> None:
        work = self._background.current
        if work is None:
            return
        share, left_s = work.share, work.left_s
        self.bar.setRange(0, 0 if share is None else 1000)
        if share is not None:
            self.bar.setValue(round(share * 1000))
        self.left.setText(f"{left_s:.0f} s left" if left_s is not None else " ")

    def closeEvent(self, event: QCloseEvent) -> None:
        self._background.cancel_all()
        super().closeEvent(event)
