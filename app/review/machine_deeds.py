"""What keys do to machine values, by the id of their action."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.review.view import ReviewView


def machine_deeds(view: ReviewView) -> dict[str, Callable[[], object]]:
    """Deeds of the Machine leaf."""

    def begin() -> None:
        view.side.show()
        view.side.leaves.turn_to("machine")
        view.held_keys.let_go()
        view.side.machine.begin()

    return {"machine-here": begin}
