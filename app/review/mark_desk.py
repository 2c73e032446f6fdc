"""Marks on the review screen: board, tools, the Draw leaf and following, put together."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from annotate.marks import Mark, MarkKind, MarkLook
from app.review.draw_leaf import NO_PICTURE
from app.review.followed_marks import FollowedMarks
from app.review.mark_board import MarkBoard
from app.review.marking import STEP, Marking

if TYPE_CHECKING:
    from app.review.view import ReviewView

GROWTH = 1.1
"""By how much a key makes a mark larger."""


class MarkDesk(QObject):
    """Joins what draws, shows and follows marks with a review screen.

    Parameters
    ----------
    view : ReviewView
        Its picture and its side column are there already.
    give_keys_back : callable
        Lets the picture have the keys.
    """

    def __init__(self, view: ReviewView, give_keys_back: Callable[[], object]) -> None:
        super().__init__(view)
        self._view = view
        self._give_keys_back = give_keys_back
        self.marking = view.side.marking
        self.leaf = view.side.draw
        self.board = MarkBoard(self.marking, view.picture, self)
        self.followed = FollowedMarks(self.marking, self)
        self.board.tool_changed.connect(self._show_tool)
        self.board.words_wished.connect(self._ask_words)
        self.followed.changed.connect(self._show_following)
        view.presenter.chosen_changed.listen(self._show_following)
        leaf = self.leaf
        leaf.tool_wished.connect(self._press_tool)
        leaf.words_typed.connect(self.board.show_words)
        leaf.words_kept.connect(self._keep_words)
        leaf.words_left.connect(self._leave_words)
        leaf.left.connect(give_keys_back)
        leaf.marks.left.connect(give_keys_back)
        leaf.wished.connect(view.go_to_time)
        self._show_following()

    def close(self) -> None:
        """Stop following, and listen no more."""
        self._view.presenter.chosen_changed.forget(self._show_following)
        self.followed.close()
        self.board.close()
        self.leaf.close_leaf()

    def to_hand(self) -> bool:
        """Take one step back towards the hand; False where it was at rest."""
        was_asking = self.board.words_at is not None
        if not self.board.to_hand():
            return False
        if was_asking:
            self.leaf.ask_words(is_asked=False)
        return True

    def deeds(self) -> dict[str, Callable[[], object]]:
        """What the actions do that draw and change marks."""
        marking = self.marking
        return {
            **{f"draw-{kind.value}": partial(self._take, kind) for kind in MarkKind},
            "mark-here": self._place_default,
            "mark-left": partial(marking.nudge, -STEP, 0.0),
            "mark-right": partial(marking.nudge, STEP, 0.0),
            "mark-up": partial(marking.nudge, 0.0, -STEP),
            "mark-down": partial(marking.nudge, 0.0, STEP),
            "mark-larger": partial(marking.grow, GROWTH),
            "mark-smaller": partial(marking.grow, 1 / GROWTH),
            "mark-look": self._next_look,
            "mark-fading": lambda: marking.set_fading(is_fading=not self._style.is_fading),
            "mark-following": lambda: marking.set_following(
                is_following=not self._style.is_following
            ),
            "mark-words": self._begin_words,
            "remove": marking.remove_chosen,
            "starts-here": partial(self._set_edge, is_start=True),
            "ends-here": partial(self._set_edge, is_start=False),
        }

    @property
    def _style(self) -> Mark | Marking:
        return self.marking.chosen or self.marking

    def _take(self, kind: MarkKind) -> None:
        """Take a tool; the same again gives the hand back."""
        if self.marking.presenter.is_refused() or self._has_no_picture():
            return
        self._open_leaf(is_needed=False)
        self.board.take(None if self.board.kind is kind else kind)
        self._give_keys_back()

    def _press_tool(self, action_id: str) -> None:
        kind = MarkKind(action_id.removeprefix("draw-")) if action_id else None
        self.board.take(kind)
        self._give_keys_back()

    def _has_no_picture(self) -> bool:
        """Say so where there is none to draw on."""
        is_missing = self._view.no_clip is not None
        if is_missing:
            self._view.presenter.said.tell(NO_PICTURE)
        return is_missing

    def _place_default(self) -> None:
        if self._has_no_picture():
            return
        self._open_leaf(is_needed=False)
        self.board.place_default()

    def _next_look(self) -> None:
        looks = list(MarkLook)
        now = self._style.look
        self.marking.set_look(looks[(looks.index(now) + 1) % len(looks)])

    def _set_edge(self, *, is_start: bool) -> None:
        """A chosen mark starts or ends here; anything else as the tags do."""
        if self.marking.chosen is not None:
            self.marking.set_edge_here(is_start=is_start)
        else:
            self._view.presenter.set_chosen_here(is_start=is_start)

    def _open_leaf(self, *, is_needed: bool = True) -> None:
        """Turn to the leaf; a hidden side column stays so where nothing is to be typed."""
        if is_needed:
            self._view.side.show()
        self._view.side.leaves.turn_to("draw")

    # Words

    def _begin_words(self) -> None:
        """Type the words of the chosen mark."""
        if self.marking.chosen is None:
            self.marking.set_text("")  # says to choose one
            return
        self._open_leaf()
        self._view.held_keys.let_go()
        self.leaf.words.setFocus()
        self.leaf.words.selectAll()

    def _ask_words(self) -> None:
        self._open_leaf()
        self._view.held_keys.let_go()
        self.leaf.ask_words(is_asked=True)

    def _keep_words(self, text: str) -> None:
        if self.board.words_at is None:
            self.marking.set_text(text)
        elif not self.board.keep_words(text):
            return
        self.leaf.ask_words(is_asked=False)
        self._give_keys_back()

    def _leave_words(self) -> None:
        """Give up what is typed; a chosen mark keeps its words."""
        if self.board.words_at is not None:
            self.to_hand()
        else:
            self.leaf.ask_words(is_asked=False)
        self._give_keys_back()

    # What is shown

    def _show_tool(self) -> None:
        if self.board.words_at is None:
            self.leaf.ask_words(is_asked=False)
        self.leaf.show_tool(self.board.kind)

    def _show_following(self) -> None:
        self.board.show()
        mark = self.marking.chosen
        self.leaf.show_following("" if mark is None else self.followed.words(mark))


def mark_deeds(view: ReviewView) -> dict[str, Callable[[], object]]:
    """Deeds of marks on the picture."""
    return view.marks.deeds()
