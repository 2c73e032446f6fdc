"""The picture as something to draw on: marks shown, taken hold of, and drawn with a tool."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QGuiApplication

from annotate.marks import Mark, MarkKind, Point
from app.marks.hit import distance
from app.marks.layout import core_px, laid_out, place_in
from app.review.mark_layer import handles
from app.review.mark_tools import MarkHand, MarkPen
from app.review.marking import Marking
from app.review.picture import PictureView
from app.review.viewpoint import Point as Spot

_NEAR_PX = 10.0
"""How near to a mark the pointer has to be, of the screen's lengths."""
_PENDING_WORDS = "…"


class MarkBoard(QObject):
    """Shows a session's marks on its picture, and hands it the tools.

    Signals
    -------
    tool_changed
        Another tool is in hand: look at `kind`.
    words_wished
        A place for a text was chosen: ask for its words.
    """

    tool_changed = Signal()
    words_wished = Signal()

    def __init__(
        self, marking: Marking, picture: PictureView, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.marking, self.picture = marking, picture
        self.kind: MarkKind | None = None
        self.words_at: Point | None = None
        self._words_begun_us = 0
        presenter = marking.presenter
        picture.tool = MarkHand(self)
        presenter.markup_changed.listen(self.show)
        presenter.playhead_moved.listen(self.show)
        presenter.chosen_changed.listen(self.show)
        presenter.play_changed.listen(self.show)
        self.show()

    def close(self) -> None:
        """Listen no more."""
        presenter = self.marking.presenter
        presenter.markup_changed.forget(self.show)
        presenter.playhead_moved.forget(self.show)
        presenter.chosen_changed.forget(self.show)
        presenter.play_changed.forget(self.show)

    def show(self) -> None:
        """Bring the picture up to date; the chosen mark does not fade while the clip stands."""
        marking, layer = self.marking, self.picture.layer
        p = marking.presenter
        steady = None if p.is_playing else p.chosen
        marks = [
            replace(mark, is_fading=mark.is_fading and mark.id != steady) for mark in marking.here()
        ]
        if layer.show(marks, p.playhead_us, marking.paths, p.chosen):
            self.picture.update()

    def show_draft(self, draft: Mark | None) -> None:
        """Show what is being drawn or moved, at its full strength."""
        self.picture.layer.draft = None if draft is None else replace(draft, is_fading=False)
        self.picture.update()

    # Tools

    def take(self, kind: MarkKind | None) -> None:
        """Take a tool, or the hand."""
        self.show_draft(None)
        self.words_at = None
        self.kind = kind
        self.picture.tool = MarkHand(self) if kind is None else MarkPen(self, kind)
        self.picture.setCursor(self.picture.tool.cursor)
        self.tool_changed.emit()

    def to_hand(self) -> bool:
        """Leave what is being drawn, or else the tool; False where the hand was at rest."""
        tool = self.picture.tool
        if isinstance(tool, MarkHand | MarkPen) and tool.leave():
            return True
        if self.words_at is not None:
            self.words_at = None
            self.show_draft(None)
            return True
        if self.kind is None:
            return False
        self.take(None)
        return True

    def place_default(self) -> None:
        """Draw with the tool in hand, or an arrow, at the picture's middle."""
        kind = self.kind or MarkKind.ARROW
        if kind is MarkKind.TEXT:
            self.ask_words((0.5, 0.5))
        else:
            self.marking.keep_default(kind)

    def ask_words(self, at: Point, begun_us: int | None = None) -> None:
        """Note where a text is to stand and have its words asked for."""
        if self.marking.presenter.is_refused():
            return
        playhead_us = self.marking.presenter.playhead_us
        self._words_begun_us = playhead_us if begun_us is None else begun_us
        self.words_at = at
        self.show_words("")
        self.words_wished.emit()

    def show_words(self, text: str) -> None:
        """Show a text at its place while it is typed."""
        if self.words_at is not None:
            words = text.strip() or _PENDING_WORDS
            self.show_draft(self.marking.drawn(MarkKind.TEXT, [self.words_at], words))

    def keep_words(self, text: str) -> bool:
        """Keep the text whose place was chosen."""
        at, begun_us = self.words_at, self._words_begun_us
        if at is None or self.marking.keep(MarkKind.TEXT, [at], text, begun_us) is None:
            return False
        self.words_at = None
        self.show_draft(None)
        return True

    # What tools ask

    @property
    def is_straight(self) -> bool:
        """Whether Shift is held: level, upright or aslant at 45 degrees."""
        return bool(QGuiApplication.keyboardModifiers() & Qt.KeyboardModifier.ShiftModifier)

    @property
    def near_px(self) -> float:
        """How near is on it, device pixels."""
        return _NEAR_PX * self.picture.devicePixelRatioF()

    def share_at(self, at: Spot) -> Point:
        """What lies at a place (device pixels), in shares of the picture."""
        return self.picture.seen_from.picture_at(self.picture.look_room(), at)

    def spot_of(self, point: Point) -> Spot:
        """Where a point of the picture lies, device pixels."""
        area = self.picture.seen_from.area(self.picture.look_room())
        x, y = self.picture.framing.to_view(*point)
        return area.left + x * area.width, area.top + y * area.height

    def handle_at(self, at: Spot) -> tuple[Mark, int] | None:
        """The chosen mark and the place of its handle under a spot."""
        mark = self.marking.chosen
        if mark is None or not self.marking.is_here(mark):
            return None
        there = replace(mark, points=self.marking.points(mark), anchors=())
        for place, point in reversed(list(enumerate(handles(there)))):
            x, y = self.spot_of(point)
            if abs(x - at[0]) <= self.near_px and abs(y - at[1]) <= self.near_px:
                return mark, place
        return None

    def mark_at(self, at: Spot) -> Mark | None:
        """The mark painted under a spot; of several the nearest."""
        framing = self.picture.framing
        area = self.picture.seen_from.area(self.picture.look_room())
        inside = (at[0] - area.left, at[1] - area.top)
        place = place_in(framing.width, framing.height, framing)
        core = core_px(framing.width, framing.height)
        found = [
            (distance(laid_out(mark, self.marking.points(mark), place, core), inside), mark)
            for mark in self.marking.here()
        ]
        near = [each for each in found if each[0] <= self.near_px]
        return min(near, key=lambda each: each[0])[1] if near else None
