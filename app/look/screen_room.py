"""Windows that stay within the screen, however small or however enlarged it is."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QSizePolicy, QWidget

_FRAME_PX = 60
"""What a window's title and borders take, and a little ground around it."""


def room_on_screen(window: QWidget) -> QSize:
    """The largest size at which a window and its frame are on the screen."""
    available = window.screen().availableGeometry().size()
    return QSize(available.width() - _FRAME_PX // 2, available.height() - _FRAME_PX)


def keep_on_screen(window: QWidget) -> None:
    """Let a window be no larger than the screen has room for."""
    room = room_on_screen(window)
    window.setMaximumSize(room)
    window.resize(window.size().boundedTo(room))


class ScrolledBody(QScrollArea):
    """What a dialog holds above its buttons: whole where there is room, else to be scrolled."""

    def __init__(self, body: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._body = body
        self.setWidget(body)

    def sizeHint(self) -> QSize:
        bar = self.verticalScrollBar().sizeHint().width()
        return self._body.sizeHint() + QSize(bar + 2, 2)

    def minimumSizeHint(self) -> QSize:
        return QSize(min(self.sizeHint().width(), 260), min(self.sizeHint().height(), 90))
