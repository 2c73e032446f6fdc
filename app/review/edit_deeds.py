"""What keys and buttons do to travel and to edit, by the id of their action."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from annotate.clock import US_PER_S
from annotate.tags import WEIGHTS, Leaning
from app.review.presenter import ReviewPresenter

if TYPE_CHECKING:
    from app.review.view import ReviewView


def edit_deeds(view: ReviewView) -> dict[str, Callable[[], object]]:
    """Deeds of a review screen; those that touch the picture itself are elsewhere."""
    p, player = view.presenter, view.player
    return {
        "second-on": lambda: player.go_to_time(p.playhead_us + US_PER_S),
        "second-back": lambda: player.go_to_time(p.playhead_us - US_PER_S),
        "case-start": partial(player.go_to_time, 0),
        "case-end": partial(player.go_to_time, p.length_us),
        "slower": lambda: player.set_speed(p.next_speed(-1)),
        "faster": lambda: player.set_speed(p.next_speed(1)),
        "as-filmed": partial(player.set_speed, 1.0),
        "hand-over": p.press_hand_over,
        "write-comment": view.write_comment,
        "change-comment": view.change_comment,
        "whole-case": view.timeline.show_whole,
        "closer": partial(view.timeline.zoom, 2.0),
        "farther": partial(view.timeline.zoom, 0.5),
        "lanes": view.timeline.menus.show_lanes,
        "show-playhead": view.timeline.show_playhead,
        **_corrections(p),
    }


def _corrections(p: ReviewPresenter) -> dict[str, Callable[[], object]]:
    nudges = {
        "start-earlier": (True, -1),
        "start-later": (True, 1),
        "end-earlier": (False, -1),
        "end-later": (False, 1),
    }
    return {
        "undo": p.undo,
        "redo": p.redo,
        "remove": p.remove_chosen,
        "starts-here": partial(p.set_chosen_here, is_start=True),
        "ends-here": partial(p.set_chosen_here, is_start=False),
        **{
            name: partial(p.nudge_chosen, is_start=is_start, frames=by)
            for name, (is_start, by) in nudges.items()
        },
        "lean-keep": partial(p.weigh_chosen, leaning=Leaning.COMMEND),
        "lean-change": partial(p.weigh_chosen, leaning=Leaning.CORRECT),
        **{f"weight-{w}": partial(p.weigh_chosen, weight=w) for w in WEIGHTS},
    }
