"""Small pictures in Review: the band along the timeline and the card under the pointer."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, QRect, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QWidget

from annotate.clip.thumbnails import Thumbnails
from annotate.clock import format_time
from app.review.case_pictures import CasePictures
from app.review.hover_card import HoverCard, Under
from app.review.lanes import PICTURES
from app.review.picture import PictureView
from app.review.presenter import ReviewPresenter
from app.review.small_look import look_of
from app.review.thumbnail_band import ThumbnailBand
from app.review.timeline import TimelineView


class Shelf(Protocol):
    """Where the pictures of a clip are, by its fingerprint, and a signal that there are more."""

    changed: Any

    def of(self, fingerprint: str) -> Thumbnails:
        """Those of a clip that are there by now."""


HIGH_FROM_PX = 840
"""From this height of the screen on there is room for larger pictures and lanes."""

_LOW_PX, _HIGH_PX = 112, 150


def _none(_fingerprint: str) -> Thumbnails:
    return Thumbnails()


class TimelinePictures(QObject):
    """Keeps band and card together with the timeline.

    Parameters
    ----------
    frame_at : callable
        From case time to the number and the own time of the frame shown then, or None while it is
        not known.
    picture : PictureView
        Small pictures are looked at as it is, and the card lies within its pane.
    screen : QWidget
        All of these lie on it.
    """

    def __init__(
        self,
        presenter: ReviewPresenter,
        timeline: TimelineView,
        frame_at: Callable[[int], tuple[int, int] | None],
        picture: PictureView,
        screen: QWidget,
    ) -> None:
        super().__init__(screen)
        self._timeline, self._frame_at, self._screen = timeline, frame_at, screen
        self._picture, self._look = picture, look_of(picture)
        self._of_clip: Callable[[str], Thumbnails] = _none
        self.pictures = CasePictures(presenter.case, self._pictures_of)
        self.band = ThumbnailBand(presenter, timeline, self.pictures, screen)
        self.card = HoverCard(presenter, self.pictures, screen)
        self.band.hovered.connect(self._show)
        picture.framing_changed.connect(self._follow_look)
        self.band.left.connect(self.card.hide)
        self.band.wished.connect(timeline.wished)
        self.band.passed.connect(timeline.passed)
        self.band.hide()
        self._has_shelf = False
        timeline.folds_changed.connect(self._follow_folds)
        timeline.viewport().installEventFilter(self)
        screen.installEventFilter(self)

    def take_from(self, shelf: Shelf) -> None:
        """Say where small pictures come from."""
        self._of_clip = shelf.of
        shelf.changed.connect(self.band.look_again)
        self._has_shelf = True
        self._follow_folds()
        self.band.look_again()

    def _follow_folds(self, *_: object) -> None:
        self.band.setVisible(self._has_shelf and PICTURES not in self._timeline.folded)
        self._fit()

    def _pictures_of(self, fingerprint: str) -> Thumbnails:
        return self._of_clip(fingerprint)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the pointer over the timeline, and the screen's height."""
        if watched is self._screen:
            if event.type() is QEvent.Type.Resize:
                self._fit()
        elif not self._has_shelf:
            return False
        elif event.type() is QEvent.Type.ToolTip:
            return self.card.isVisible()  # it says the same
        elif isinstance(event, QMouseEvent) and event.type() is QEvent.Type.MouseMove:
            spot = event.position()
            if (
                event.buttons() == Qt.MouseButton.NoButton
                and spot.x() >= self._timeline.lanes_area().area.x()
            ):
                self._show(self._timeline.time_at(spot), spot.x(), self._words_at(spot))
            else:
                self.card.hide()
        elif event.type() in {QEvent.Type.Leave, QEvent.Type.MouseButtonPress, QEvent.Type.Wheel}:
            self.card.hide()
        return False

    def _words_at(self, spot: QPointF) -> str:
        """What is tagged, said or joined just there; the bare time is on the card anyway."""
        words = self._timeline.words_at(spot)
        return "" if words == format_time(self._timeline.time_at(spot)) else words

    def _follow_look(self) -> None:
        look = look_of(self._picture)
        if look != self._look:
            self._look = look
            self.band.show_look(look)
            self.card.show_look(look)

    def _fit(self) -> None:
        """Share the screen's height: the picture is to have half of it where it is low."""
        is_low = self._screen.height() < HIGH_FROM_PX
        self.band.fit_to(is_low=is_low)
        has_band = not self.band.isHidden()
        self._timeline.setMinimumHeight(_LOW_PX if is_low and has_band else _HIGH_PX)

    def _show(self, time_us: int, x: float, words: str = "") -> None:
        across = self.band.mapTo(self._screen, QPoint(round(x), 0)).x()
        under = Under(time_us, self._frame_at(time_us), words)
        place = QRect(self._picture.mapTo(self._screen, QPoint(0, 0)), self._picture.size())
        self.card.show_at(under, across, place)
