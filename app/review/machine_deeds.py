"""What keys do to machine values, by the id of their action."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from app.review.machine_lane import MachineLane

if TYPE_CHECKING:
    from app.review.view import ReviewView


def machine_deeds(view: ReviewView) -> dict[str, Callable[[], object]]:
    """Deeds of the Machine leaf."""

    def begin() -> None:
        view.side.show()
        view.side.leaves.turn_to("machine")
        view.held_keys.let_go()
        view.side.machine.begin()

    def turn() -> None:
        """Open the leaf; where it is open, its lists take the keys."""
        if view.side.leaves.open_leaf == "machine" and not view.side.isHidden():
            view.side.machine.take_keys()
        else:
            view.side.show()
            view.side.leaves.turn_to("machine")

    return {"machine-here": begin, "leaf-machine": turn}


def join_machine(view: ReviewView, give_keys_back: Callable[[], object]) -> None:
    """Let the Machine leaf, the player and the timeline's lane follow each other."""
    leaf = view.side.machine
    leaf.wished.connect(view.go_to_time)
    leaf.left.connect(give_keys_back)
    for lane in view.timeline.lanes.known:
        if isinstance(lane.shapes, MachineLane):
            lane.shapes.as_shown = leaf.values.as_shown
            lane.shapes.is_aside = leaf.values.offers.is_aside
    leaf.values.changed.listen(view.timeline.lanes.repaint_all)
