"""The side column's leaves: one is open at a time, the others are a key or a click away."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QSizePolicy,
    QStackedWidget,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.commands.table import action

PREFIX = "leaf-"
"""Of the ids of the actions that open a leaf."""


class _Stack(QStackedWidget):
    """Takes the height that there is, and no less than the leaf that is open can do with."""

    def hasHeightForWidth(self) -> bool:
        return False

    def minimumSizeHint(self) -> QSize:
        leaf = self.currentWidget()
        layout = leaf.layout() if leaf is not None else None
        if layout is None:
            return super().minimumSizeHint()
        least = layout.totalMinimumSize()
        if layout.hasHeightForWidth() and self.width() >= least.width():
            least.setHeight(layout.totalMinimumHeightForWidth(self.width()))
        return QSize(super().minimumSizeHint().width(), least.height())

    def sizeHint(self) -> QSize:
        return self.minimumSizeHint()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self.updateGeometry()  # words wrap into other lines


class Leaves(QWidget):
    """A row of words over the leaf that is open; no row while there is but one.

    Signals
    -------
    turned
        Id of the leaf that is open now.
    """

    turned = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._group = QButtonGroup(self)
        self._group.setExclusive(True)
        self.ids: list[str] = []
        self._row = QHBoxLayout()
        self._row.setSpacing(2)
        self._words = QWidget()
        self._words.setLayout(self._row)
        self._row.setContentsMargins(0, 0, 0, 0)
        self.stack = _Stack()
        self.stack.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addWidget(self._words)
        column.addWidget(self.stack, 1)
        self._words.hide()

    def add(self, leaf_id: str, words: str, leaf: QWidget) -> None:
        """Put a leaf in; the action ``leaf-<id>`` opens it."""
        entry = action(PREFIX + leaf_id)
        button = QToolButton()
        button.setText(words)
        button.setCheckable(True)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        button.setToolTip(f"{entry.help} ({entry.key})")
        button.setAccessibleName(entry.label)
        self._group.addButton(button, len(self.ids))
        button.clicked.connect(self._press)
        self._row.addWidget(button, 1)
        self.ids.append(leaf_id)
        self.stack.addWidget(leaf)
        self._words.setVisible(len(self.ids) > 1)
        if len(self.ids) == 1:
            button.setChecked(True)

    @property
    def open_leaf(self) -> str:
        """Id of the leaf that is open."""
        return self.ids[self.stack.currentIndex()]

    def turn_to(self, leaf_id: str) -> None:
        """Open a leaf."""
        place = self.ids.index(leaf_id)
        self._group.button(place).setChecked(True)
        if place != self.stack.currentIndex():
            self.stack.setCurrentIndex(place)
            self.stack.updateGeometry()
            self.turned.emit(leaf_id)

    def deeds(self) -> dict[str, Callable[[], object]]:
        """What the actions that open leaves do."""
        return {PREFIX + leaf_id: self._opening(leaf_id) for leaf_id in self.ids}

    def _opening(self, leaf_id: str) -> Callable[[], object]:
        return lambda: self.turn_to(leaf_id)

    def _press(self) -> None:
        self.turn_to(self.ids[self._group.checkedId()])
