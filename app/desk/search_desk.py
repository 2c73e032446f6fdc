"""The search over all cases in the desk's window, and the way to what was found."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QTimer

from app.searching.answers import Line
from app.searching.panel import SearchPanel
from store import Found

if TYPE_CHECKING:
    from app.desk.window import DeskWindow
    from app.review.view import ReviewView

_GONE = "It is no longer there; it was changed or taken back since."


class SearchDesk(QObject):
    """Opens the panel, and opens a case at what was chosen in it.

    A case may first ask who reviews, or where its clip is; what was chosen is gone to when its
    review is on the screen.
    """

    def __init__(self, window: DeskWindow) -> None:
        super().__init__(window)
        self._window = window
        self._panel: SearchPanel | None = None
        self._wished: Found | None = None
        window.stack.currentChanged.connect(self._follow)
        window.installEventFilter(self)

    def ask(self) -> SearchPanel:
        """Open the panel, with the words of last time."""
        if self._panel is None:
            self._panel = SearchPanel(self._window.store, self._window)
            self._panel.wished.connect(self.go)
        self._panel.ask(self._window.settings.reviewer)
        return self._panel

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The panel closes with the window, and its thread with it."""
        if event.type() == QEvent.Type.Close and watched is self._window and self._panel:
            self._panel.hide()
        return super().eventFilter(watched, event)

    def go(self, line: Line) -> None:
        """Open the case of a place that was found, in its review, at its frame."""
        self._window.activateWindow()
        self._wished = line.found
        review = self._window.review
        if review is not None and review.presenter.session.id == line.found.session_id:
            self._arrive()
        else:
            self._window.open_case(line.found.case_code, line.found.session_id)

    def _follow(self) -> None:
        """Another screen is shown: go on to what was chosen once all of it is there."""
        if self._wished is not None:
            QTimer.singleShot(0, self, self._arrive)

    def _arrive(self) -> None:
        view, found = self._window.review, self._wished
        if view is None or found is None or view.presenter.case.id != found.case_id:
            return
        self._wished = None
        self._show(view, found)

    def _show(self, view: ReviewView, found: Found) -> None:
        row = view.presenter.any_row(found.row_id)
        if row is None:
            self._window.message_bar.say(_GONE)
        else:
            view.presenter.choose(found.row_id)
        view.go_to_time(found.start_us if row is None else _start_us(row, found))
        view.picture.setFocus()


def _start_us(row: object, found: Found) -> int:
    """Where a row begins now; it may have been moved since it was found."""
    return int(getattr(row, "start_us", found.start_us))
