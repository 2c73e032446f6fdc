"""Review with nothing but the picture; the transport comes when the pointer moves."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QCursor

if TYPE_CHECKING:
    from PySide6.QtWidgets import QVBoxLayout

    from app.review.view import ReviewView

LINGER_MS = 2_500
"""How long the transport stays after the pointer has come to rest."""


class BarePicture(QObject):
    """Takes timeline, small pictures and transport away, and puts them back.

    Parameters
    ----------
    view : ReviewView
        Its side column says what is wished for: hidden, the picture is to be alone.
    """

    def __init__(self, view: ReviewView) -> None:
        super().__init__(view)
        self._view = view
        self.is_on = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(LINGER_MS)
        self._timer.timeout.connect(self._rest)
        view.installEventFilter(self)
        view.picture.installEventFilter(self)

    @property
    def is_wished(self) -> bool:
        """Whether the side column was hidden."""
        return self._view.side.isHidden()

    def set_on(self, is_on: bool) -> None:
        """Leave the picture alone, or put everything back."""
        if is_on == self.is_on:
            return
        self.is_on = is_on
        view = self._view
        transport, column = view.transport, self._column()
        view.picture.setMouseTracking(is_on)
        transport.setAutoFillBackground(is_on)
        transport.panel.hide()
        if view.look_panel.isVisible():
            view.look_panel.leave()
        if is_on:
            view.small_pictures.card.hide()
            column.removeWidget(transport)
            transport.setParent(view)
            transport.hide()
            view.panes.below.hide()
            self._place()
        else:
            self._timer.stop()
            self._show_pointer()
            column.insertWidget(column.indexOf(view.picture) + 1, transport)
            transport.show()
            view.panes.below.show()

    def _column(self) -> QVBoxLayout:
        """The layout that holds picture and transport."""
        return cast("QVBoxLayout", self._view.panes.above.layout())

    def _place(self) -> None:
        """The transport at the foot."""
        view = self._view
        height = view.transport.sizeHint().height()
        view.transport.setGeometry(0, view.height() - height, view.width(), height)

    def _show_transport(self) -> None:
        self._show_pointer()
        self._place()
        self._view.transport.show()
        self._view.transport.raise_()
        self._timer.start()

    def _show_pointer(self) -> None:
        self._view.picture.setCursor(self._view.picture.tool.cursor)

    def _rest(self) -> None:
        """Hide it again, unless it is just being used."""
        view, transport = self._view, self._view.transport
        over = transport.rect().contains(transport.mapFromGlobal(QCursor.pos()))
        is_used = transport.panel.isVisible() or view.look_panel.isVisible()
        if is_used or (over and transport.underMouse()):
            self._timer.start()
            return
        transport.hide()
        view.picture.setCursor(Qt.CursorShape.BlankCursor)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the pointer over the picture, and the size of the screen."""
        if self.is_on:
            if event.type() == QEvent.Type.MouseMove and watched is self._view.picture:
                self._show_transport()
            elif event.type() == QEvent.Type.Resize and watched is self._view:
                self._place()
        return super().eventFilter(watched, event)
