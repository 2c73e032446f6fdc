"""All that keys and buttons do in Review, by the id of their action."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from app.review.comment_deeds import comment_deeds
from app.review.edit_deeds import edit_deeds
from app.review.machine_deeds import machine_deeds, machine_edges
from app.review.mark_desk import mark_deeds
from app.review.picture_deeds import PictureDeeds
from app.review.session_deeds import session_deeds

if TYPE_CHECKING:
    from app.review.view import ReviewView

Deeds = dict[str, Callable[[], object]]


def view_deeds(view: ReviewView) -> Deeds:
    """Deeds of a review screen; each module adds its own."""
    deeds: Deeds = {
        **edit_deeds(view),
        **view.tagging.deeds(),
        **PictureDeeds(view).by_action(),
        **view.side.leaves.deeds(),
        **comment_deeds(view),
        **session_deeds(view),
        **machine_deeds(view),
        **mark_deeds(view),
    }
    return {**deeds, **machine_edges(view, deeds)}
