"""Remembers how Review's panes were sized."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Slot

from app.review.lanes import folded_from, folded_text
from app.review.panes import PaneSizes

if TYPE_CHECKING:
    from app.desk.window import DeskWindow
    from app.review.view import ReviewView

_REST_MS = 400
"""An edge that has rested for so long is where it was wanted."""


class KeptPanes(QObject):
    """Sizes a review's panes as they were left, and writes down how they are left."""

    def __init__(self, window: DeskWindow) -> None:
        super().__init__(window)
        self._window = window
        self._sizes: PaneSizes | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_REST_MS)
        self._timer.timeout.connect(self.keep)

    def follow(self, view: ReviewView) -> None:
        """Size the panes of a review that is shown."""
        settings = self._window.settings
        view.panes.put(PaneSizes(settings.side_px, settings.timeline_px))
        view.panes.changed.connect(self._take)
        view.timeline.fold(folded_from(settings.folded_lanes))
        view.timeline.folds_changed.connect(self._keep_folds)
        reaction = view.presenter.reaction
        reaction.changed.listen(lambda: self._keep_reaction(reaction.seconds))

    def _keep_reaction(self, seconds: float) -> None:
        """How far events are set back is the user's as well, in every case."""
        self._window.keep_settings(replace(self._window.settings, reaction_s=seconds))

    @Slot(object)
    def _keep_folds(self, folded: Collection[str]) -> None:
        """Which lanes are folded away is the user's, in every case."""
        self._window.keep_settings(replace(self._window.settings, folded_lanes=folded_text(folded)))

    @Slot(object)
    def _take(self, sizes: PaneSizes) -> None:
        self._sizes = sizes
        self._timer.start()

    @Slot()
    def keep(self) -> None:
        """Write down what was not written yet."""
        self._timer.stop()
        sizes, self._sizes = self._sizes, None
        if sizes is not None:
            self._window.keep_settings(
                replace(
                    self._window.settings,
                    side_px=sizes.side_px,
                    timeline_px=sizes.timeline_px,
                )
            )
