"""Tools that draw marks on the picture, and the hand that takes hold of them.

Places are device pixels of the picture's room; what is kept is in shares of the picture.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt

from annotate.marks import Mark, MarkKind, Point
from app.review.mark_points import moved, straightened, thinned
from app.review.pointer import Hand
from app.review.viewpoint import Point as Spot

if TYPE_CHECKING:
    from app.review.mark_board import MarkBoard

_CLICK_PX = 5.0
"""A pointer that was moved less has clicked."""
_WITHIN_PX = 1.2
"""How far a thinned freehand line may stray, device pixels."""
_DEFAULT_SHARE = 0.12
"""Of the picture's room, the size of what a mere click draws."""


@dataclass(slots=True)
class _Held:
    """A mark that is taken hold of, by a handle or as a whole.

    Attributes
    ----------
    place : int or None
        Which of its points; None for all.
    """

    mark: Mark
    points: tuple[Point, ...]
    place: int | None
    begun: Spot
    is_moved: bool = False


class _Grip:
    """Taking hold of marks that are there; both tools can."""

    def __init__(self, board: MarkBoard) -> None:
        self._board = board
        self._held_mark: _Held | None = None

    def take(self, at: Spot, *, by_stroke: bool) -> bool:
        """Take the mark under a spot: by a handle, or else, where asked, by its stroke."""
        marking = self._board.marking
        found = self._board.handle_at(at)
        if found is None and by_stroke:
            under = self._board.mark_at(at)
            found = None if under is None else (under, -1)
        if found is None:
            return False
        mark, place = found
        marking.presenter.choose(mark.id)
        if not marking.presenter.can_edit:
            return True
        whole = place < 0 or mark.kind is MarkKind.FREEHAND or len(mark.points) == 1
        # a ring goes along with its centre
        whole |= place == 0 and mark.kind in (MarkKind.RING, MarkKind.SPOTLIGHT)
        points = marking.points(mark)
        self._held_mark = _Held(mark, points, None if whole else place, at)
        return True

    @property
    def is_holding(self) -> bool:
        return self._held_mark is not None

    def drag(self, at: Spot) -> None:
        held = self._held_mark
        if held is None:
            return
        held.is_moved |= math.dist(held.begun, at) >= _CLICK_PX
        if held.is_moved:
            points = self._points(held, at)
            draft = replace(held.mark, points=points, is_following=False, anchors=())
            self._board.show_draft(draft)

    def release(self, at: Spot) -> None:
        held = self._held_mark
        self.drag(at)
        self._held_mark = None
        self._board.show_draft(None)
        if held is not None and held.is_moved:
            self._board.marking.move_points(held.mark, self._points(held, at))

    def leave(self) -> bool:
        """Let go and leave everything where it was."""
        was_holding = self.is_holding
        self._held_mark = None
        self._board.show_draft(None)
        return was_holding

    def _points(self, held: _Held, at: Spot) -> tuple[Point, ...]:
        board = self._board
        if held.place is None:
            (x0, y0), (x1, y1) = board.share_at(held.begun), board.share_at(at)
            return moved(held.points, x1 - x0, y1 - y0)
        if board.is_straight and held.mark.kind in (MarkKind.ARROW, MarkKind.LINE):
            other = held.points[1 - held.place] if len(held.points) == 2 else held.points[0]
            at = straightened(board.spot_of(other), at)
        return tuple(
            board.share_at(at) if place == held.place else point
            for place, point in enumerate(held.points)
        )


class MarkHand(Hand):
    """The hand: takes hold of a mark where there is one, and else of the picture."""

    def __init__(self, board: MarkBoard) -> None:
        super().__init__(board.picture)
        self._grip = _Grip(board)

    @property
    def cursor(self) -> Qt.CursorShape:
        """A pointing hand while a mark is held."""
        return Qt.CursorShape.PointingHandCursor if self._grip.is_holding else super().cursor

    def press(self, at: Spot) -> None:
        """Choose and take the mark under a spot, or the picture."""
        if not self._grip.take(at, by_stroke=True):
            super().press(at)

    def drag(self, at: Spot) -> None:
        """Move what is held."""
        if self._grip.is_holding:
            self._grip.drag(at)
        else:
            super().drag(at)

    def release(self, at: Spot) -> None:
        """Keep the mark where it is now, or let the picture go."""
        if self._grip.is_holding:
            self._grip.release(at)
        else:
            super().release(at)

    def leave(self) -> bool:
        """Let go without a change; False where nothing of a mark was held."""
        return self._grip.is_holding and self._grip.leave()


class MarkPen:
    """Draws marks of one kind until another tool is taken.

    Parameters
    ----------
    board : MarkBoard
    kind : MarkKind
    """

    def __init__(self, board: MarkBoard, kind: MarkKind) -> None:
        self._board, self.kind = board, kind
        self._grip = _Grip(board)
        self._line: list[Spot] = []
        self._begun_us = 0

    @property
    def cursor(self) -> Qt.CursorShape:
        """A cross, so that one sees what is under it."""
        return Qt.CursorShape.CrossCursor

    def press(self, at: Spot) -> None:
        """Begin to draw, or take a handle of the chosen mark."""
        if self._grip.take(at, by_stroke=False):
            return
        presenter = self._board.marking.presenter
        if presenter.is_refused():
            return
        self._begun_us = presenter.playhead_us
        self._line = [at]

    def drag(self, at: Spot) -> None:
        """Draw on."""
        if self._grip.is_holding:
            self._grip.drag(at)
        elif self._line:
            self._line.append(at)
            draft = self._board.marking.drawn(self.kind, self._points(), self._draft_words)
            self._board.show_draft(draft)

    def release(self, at: Spot) -> None:
        """Keep what was drawn; a mere click draws it in a usual size."""
        if self._grip.is_holding:
            self._grip.release(at)
            return
        if not self._line:
            return
        self._line.append(at)
        points, begun_us = self._points(), self._begun_us
        self._line = []
        self._board.show_draft(None)
        if self.kind is MarkKind.TEXT:
            self._board.ask_words(points[0], begun_us)
        elif len(points) > 1:
            self._board.marking.keep(self.kind, points, "", begun_us)

    def leave(self) -> bool:
        """Draw nothing; False where nothing was begun."""
        was_drawing = bool(self._line)
        self._line = []
        if not self._grip.is_holding and not was_drawing:
            return False
        self._grip.leave()
        return True

    @property
    def _draft_words(self) -> str:
        return "…" if self.kind is MarkKind.TEXT else ""

    def _points(self) -> list[Point]:
        return [self._board.share_at(at) for at in self._spots()]

    def _spots(self) -> Sequence[Spot]:
        """What was drawn, in pixels."""
        first, last = self._line[0], self._line[-1]
        if self.kind is MarkKind.TEXT:
            return [last]
        has_moved = max(math.dist(first, at) for at in self._line) >= _CLICK_PX
        if self.kind is MarkKind.FREEHAND:
            return thinned(self._line, _WITHIN_PX) if has_moved else [first]
        if not has_moved:
            return self._usual(first)
        if self._board.is_straight:
            last = straightened(first, last)
        return [first, last]

    def _usual(self, at: Spot) -> Sequence[Spot]:
        size = _DEFAULT_SHARE * min(self._board.picture.room())
        x, y = at
        match self.kind:
            case MarkKind.ARROW:
                return [(x - size, y + size), at]
            case MarkKind.LINE:
                return [(x - size, y), (x + size, y)]
        return [at, (x + size, y)]
