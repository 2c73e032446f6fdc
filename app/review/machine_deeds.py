"""What keys do to machine values, by the id of their action."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import TYPE_CHECKING

from annotate.marks import Setting
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


_EDGES = {
    "starts-here": (True, 0),
    "ends-here": (False, 0),
    "start-earlier": (True, -1),
    "start-later": (True, 1),
    "end-earlier": (False, -1),
    "end-later": (False, 1),
}
"""Actions that move an edge: whether the start, and by how many frames; 0 is to the playhead."""


def machine_edges(
    view: ReviewView, deeds: Mapping[str, Callable[[], object]]
) -> dict[str, Callable[[], object]]:
    """The keys that move edges, for chosen machine values; anything else does as before.

    Parameters
    ----------
    deeds : mapping
        What those keys do for whatever else is chosen.
    """
    presenter, values = view.presenter, view.side.machine.values

    def moved(action_id: str) -> object:
        row = presenter.any_row(presenter.chosen)
        is_start, frames = _EDGES[action_id]
        is_several = frames and len(presenter.chosen_ids) > 1  # to the playhead goes but one
        if not isinstance(row, Setting) or is_several:
            return deeds[action_id]()
        if frames:
            edge_us = row.start_us if is_start else values.as_shown(row).end_us
            at_us = presenter.stepped(edge_us, frames)
        else:
            at_us = presenter.playhead_us
        if is_start:
            return values.set_edges(row.id, start_us=at_us)
        return values.set_edges(row.id, end_us=at_us)

    return {action_id: partial(moved, action_id) for action_id in _EDGES}


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

    def grow() -> None:
        if leaf.values.has_running:
            view.timeline.lanes.repaint_all()

    view.presenter.playhead_moved.listen(grow)
