"""What keys do with phrases and with the history, by the id of their action."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.review.view import ReviewView


def comment_deeds(view: ReviewView) -> dict[str, Callable[[], object]]:
    """Deeds of a review screen that belong to words and to the past."""
    return {
        "phrases": lambda: _open_phrases(view),
        "edit-phrases": view.comment_box.change_phrases,
        "leaf-history": lambda: _open_history(view),
    }


def _open_phrases(view: ReviewView) -> None:
    """List the phrases in the box, which takes the keys."""
    if not view.comment_box.text.hasFocus():
        view.write_comment()
    if view.presenter.can_edit:
        view.comment_box.open_phrases()


def _open_history(view: ReviewView) -> None:
    """Open the leaf, where Up, Down and Return then go through the past."""
    view.side.show()
    view.side.leaves.turn_to("history")
    view.side.history.begin()
