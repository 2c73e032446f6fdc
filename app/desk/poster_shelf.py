"""The posters of the caseload: shown where they are kept, made in the background where not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QPixmap

from annotate.case import Case
from app.caseload.posters import kept_poster, make_poster
from app.jobs.work import Work

if TYPE_CHECKING:
    from app.desk.window import DeskWindow


class PosterShelf:
    """Brings posters into the list of cases."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window
        self._begun: set[str] = set()

    def show(self) -> None:
        """Show the posters that are kept, and make the others."""
        window = self._window
        if window.background.current is None:
            self._begun.clear()  # what was stopped may begin again
        for line in window.caseload.presenter.lines:
            case = line.row.case
            if not case.clips or case.id in window.caseload.model.posters:
                continue
            content = kept_poster(window.store, case)
            if content is not None:
                self._made((case.id, content))
            elif case.id not in self._begun:
                self._begun.add(case.id)
                self._make(case)

    def _make(self, case: Case) -> None:
        store = self._window.store

        def deed(work: Work) -> tuple[str, bytes | None]:
            return case.id, make_poster(store, case, work)

        self._window.background.run(
            f"Picture of {case.code}",
            deed,
            self._made,
            self._window.message_bar.say_trouble,
            is_derived=True,
        )

    def _made(self, made: tuple[str, bytes | None]) -> None:
        case_id, content = made
        pixmap = QPixmap()
        if content is not None and pixmap.loadFromData(content):
            self._window.caseload.show_poster(case_id, pixmap)
