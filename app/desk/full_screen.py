"""The whole screen, and with the side column hidden the picture alone on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent

from app.commands.table import action, actions
from app.review.bare_picture import BarePicture

if TYPE_CHECKING:
    from app.desk.window import DeskWindow
    from app.review.view import ReviewView

_SIDE = (QEvent.Type.ShowToParent, QEvent.Type.HideToParent)


class FullScreen(QObject):
    """Enters and leaves; hides menu, foot and timeline while there is to be the picture alone.

    Parameters
    ----------
    window : DeskWindow
        With its menus and its foot.
    """

    def __init__(self, window: DeskWindow) -> None:
        super().__init__(window)
        self._window = window
        self._was_maximised = False
        self._was_full = False
        self._bare: BarePicture | None = None
        self._hint = ""
        window.installEventFilter(self)
        # keys of a menu go with the menu bar, keys of the window do not
        window.addActions([window.actions_table[entry.id] for entry in actions()])

    @property
    def is_bare(self) -> bool:
        """Whether there is nothing but the picture."""
        return self._bare is not None and self._bare.is_on

    def toggle(self) -> None:
        """The whole screen, or the window as it was before."""
        window = self._window
        if not window.isFullScreen():
            self._was_maximised = window.isMaximized()
            window.showFullScreen()
        elif self._was_maximised:
            window.showMaximized()
        else:
            window.showNormal()

    def watch(self, view: ReviewView | None) -> None:
        """Follow this review from now on, or none."""
        if self._bare is not None and view is None:
            self._bare.set_on(False)
        self._bare = None if view is None else BarePicture(view)
        if view is not None:
            view.installEventFilter(self)
            view.side.installEventFilter(self)
        self._follow()

    def _follow(self) -> None:
        """Show what belongs on the screen now."""
        window, bare = self._window, self._bare
        is_full, was_bare = window.isFullScreen(), not window.foot.isVisibleTo(window)
        is_bare = is_full and bare is not None and bare.is_wished
        window.menuBar().setVisible(not is_bare)
        window.foot.setVisible(not is_bare)
        if bare is not None:
            bare.set_on(is_bare)
        if is_full and (not self._was_full or (is_bare and not was_bare)):
            self._say_how_to_leave(is_bare=is_bare)
        elif not is_full and self._hint and window.message_bar.words == self._hint:
            window.message_bar.hide_words()
        self._was_full = is_full

    def _say_how_to_leave(self, *, is_bare: bool) -> None:
        bar = self._window.message_bar
        if bar.words and not bar.is_fading:
            return  # trouble stands there until it was read
        self._hint = "Esc leaves the full screen."
        if is_bare:
            side = action("picture-alone").key
            self._hint += f" Move the pointer for the controls; {side} shows the side column."
        bar.say(self._hint)

    def _is_edge_held(self) -> bool:
        review = self._window.review
        return review is not None and review.timeline.dragged is not None

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the window and the side column.

        An Escape that reaches the screen leaves, unless an edge is held.
        """
        kind = event.type()
        if kind == QEvent.Type.WindowStateChange or kind in _SIDE:
            self._follow()
        elif (
            isinstance(event, QKeyEvent)
            and kind == QEvent.Type.KeyPress
            and event.key() == Qt.Key.Key_Escape
            and self._window.isFullScreen()
            and not self._is_edge_held()
        ):
            self.toggle()
            return watched is self._window
        return super().eventFilter(watched, event)
