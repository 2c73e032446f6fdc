"""All that keys and buttons do in Review, by the id of their action."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from app.review.edit_deeds import edit_deeds
from app.review.picture_deeds import PictureDeeds

if TYPE_CHECKING:
    from app.review.view import ReviewView

Deeds = dict[str, Callable[[], object]]


def view_deeds(view: ReviewView) -> Deeds:
    """Deeds of a review screen; each module adds its own."""
    return {
        **edit_deeds(view),
        **PictureDeeds(view).by_action(),
        **view.side.leaves.deeds(),
    }
