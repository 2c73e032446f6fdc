"""Words that are said in full where there is room, else in short."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy


class StateLabel(QLabel):
    """Takes whatever room is left; never asks for any, so that nothing beside it moves."""

    def __init__(self, name: str) -> None:
        super().__init__("")
        self._long, self._short = "", ""
        self.setProperty("quiet", True)
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def say(self, long: str, short: str) -> None:
        """Say this; all of it is in the tooltip too."""
        self._long, self._short = long, short
        self.setToolTip(long)
        self.setAccessibleDescription(long)
        self._fit()

    def _fit(self) -> None:
        room, metrics = max(self.width() - 2, 0), self.fontMetrics()
        fits = metrics.horizontalAdvance(self._long) <= room
        words = self._long if fits else self._short
        self.setText(metrics.elidedText(words, Qt.TextElideMode.ElideRight, room))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()
