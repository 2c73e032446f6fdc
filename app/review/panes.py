"""Picture, timeline and side column, with edges to drag; their sizes are remembered."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSplitter, QWidget

_HANDLE_PX = 4


@dataclass(frozen=True, slots=True)
class PaneSizes:
    """Pixels of the side column and of the timeline; 0 where they size themselves."""

    side_px: int = 0
    timeline_px: int = 0


class Panes(QWidget):
    """Lays three widgets out.

    Signals
    -------
    changed
        `PaneSizes`, when an edge was dragged.
    """

    changed = Signal(object)

    def __init__(
        self, above: QWidget, below: QWidget, side: QWidget, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._sizes = PaneSizes()
        self.above, self.below, self._side = above, below, side
        self.rows = _splitter(Qt.Orientation.Vertical, "Edge between picture and timeline")
        self.rows.addWidget(above)
        self.rows.addWidget(below)
        self.rows.setStretchFactor(0, 1)
        self.rows.setStretchFactor(1, 0)
        self.columns = _splitter(Qt.Orientation.Horizontal, "Edge between picture and side")
        self.columns.addWidget(self.rows)
        self.columns.addWidget(side)
        self.columns.setStretchFactor(0, 1)
        self.columns.setStretchFactor(1, 0)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.columns)
        below.installEventFilter(self)
        self.rows.splitterMoved.connect(self._tell)
        self.columns.splitterMoved.connect(self._tell)

    def put(self, sizes: PaneSizes) -> None:
        """Give the panes their sizes; what the window has no room for is less."""
        self._sizes = sizes
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A pane whose content needs more or less room gets it, where it sizes itself."""
        if event.type() == QEvent.Type.LayoutRequest:
            self._fit()
        return super().eventFilter(watched, event)

    def _fit(self) -> None:
        """The side and the timeline as wished, or as small as they may be; the picture the rest."""
        for splitter, pane, px in (
            (self.columns, self._side, self._sizes.side_px),
            (self.rows, self.below, self._sizes.timeline_px),
        ):
            is_across = splitter is self.columns
            least = pane.minimumSizeHint().expandedTo(pane.minimumSize())
            wanted = px or (least.width() if is_across else least.height())
            whole = sum(splitter.sizes())
            has_room = whole > wanted and not pane.isHidden()
            if has_room and splitter.sizes()[1] != wanted:
                splitter.setSizes([whole - wanted, wanted])

    def _tell(self) -> None:
        side_px = self._side.width() if self._side.isVisible() else self._sizes.side_px
        below_px = self.below.height() if self.below.isVisible() else self._sizes.timeline_px
        self._sizes = PaneSizes(side_px, below_px)
        self.changed.emit(self._sizes)


def _splitter(orientation: Qt.Orientation, name: str) -> QSplitter:
    splitter = QSplitter(orientation)
    splitter.setChildrenCollapsible(False)
    splitter.setHandleWidth(_HANDLE_PX)
    splitter.setAccessibleName(name)
    return splitter
