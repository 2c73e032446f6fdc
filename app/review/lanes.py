"""The lanes of the timeline: what each shows, how high it is, and which are folded away."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from annotate.markup import Markup, Row
from app.look.palette import Palette
from app.strip.layout import StripFrame
from app.strip.shapes import Shape

Shapes = Callable[[Markup, StripFrame, Palette], tuple[Shape, ...]]
"""Shapes of a lane: of a session's rows in sight, in a frame with the origin at its upper left."""

LEAST_RIBBON_PX = 44.0
"""The ribbon keeps so much, with its pins; the lanes under it give way before."""
_SLIM_BARE_PX = 16.0
"""What a folded ribbon takes where its pins are folded too."""


@dataclass(frozen=True, slots=True)
class Lane:
    """A lane under the ribbon.

    Attributes
    ----------
    name : str
        Stands at its left.
    help : str
        One sentence: what it shows and how it is filled.
    height_px, least_px : float
        Wished height, and how low it may become.
    rows : callable
        The rows that it shows, in order of start.
    shapes : callable or None
        None where the timeline paints it itself.
    has_content : callable or None
        Whether there is anything to show; by default whether it has rows.
    """

    id: str
    name: str
    help: str
    height_px: float
    least_px: float
    rows: Callable[[Markup], Sequence[Row]]
    shapes: Shapes | None = None
    has_content: Callable[[Markup], bool] | None = None

    def is_filled(self, markup: Markup) -> bool:
        """Whether there is anything to show."""
        return bool(self.rows(markup)) if self.has_content is None else self.has_content(markup)


@dataclass(frozen=True, slots=True)
class PlacedLane:
    """A lane where it lies, pixels from the top of the ribbon's room."""

    lane: Lane
    top: float
    height: float


def lay_out(
    lanes: Sequence[Lane], markup: Markup, folded: Collection[str], height: float
) -> tuple[float, tuple[PlacedLane, ...]]:
    """Share a height between the ribbon and the lanes under it.

    A lane without content takes no height, nor does a folded one. Where there is little room the
    lanes become low together, and the last ones are left out before the ribbon becomes too thin.
    What a folded ribbon leaves goes to the lanes.

    Returns
    -------
    float and tuple of PlacedLane
        Height of the ribbon's room, and the lanes from top to bottom.
    """
    shown = [lane for lane in lanes if lane.id not in folded and lane.is_filled(markup)]
    room = max(height - least_ribbon_px(folded), 0.0)
    while shown and sum(lane.least_px for lane in shown) > room:
        shown.pop()
    wished = sum(lane.height_px for lane in shown)
    least = sum(lane.least_px for lane in shown)
    if wished > room:
        share = (room - least) / max(wished - least, 1.0)
    else:
        share = room / max(wished, 1.0) if PHASES in folded else 1.0
    heights = [float(int(_height(lane, share))) for lane in shown]
    top = height - sum(heights)
    strip_px, placed = top, []
    for lane, lane_px in zip(shown, heights, strict=True):
        placed.append(PlacedLane(lane, top, lane_px))
        top += lane_px
    return strip_px, tuple(placed)


def least_ribbon_px(folded: Collection[str]) -> float:
    """How much the ribbon keeps, with the pins on it."""
    return _SLIM_BARE_PX if PHASES in folded and EVENTS in folded else LEAST_RIBBON_PX


def _height(lane: Lane, share: float) -> float:
    """Between least and wished height, or, for a share above 1, so much more than wished."""
    if share > 1:
        return lane.height_px * share
    return lane.least_px + share * (lane.height_px - lane.least_px)


PHASES, PICTURES, EVENTS, IDLE, HAND_OVER = "phases", "pictures", "events", "idle", "hand-over"
COMMENTS, VOICE, MARKS, SETTINGS = "comments", "voice", "marks", "settings"

ON_THE_RIBBON: tuple[tuple[str, str, str], ...] = (
    (PHASES, "Phases", "The ribbon at full height, with names; folded, a thin strip stays."),
    (PICTURES, "Pictures", "Small pictures along the case."),
    (EVENTS, "Events", "Pins on the ribbon, up to commend and down to correct."),
    (IDLE, "Idle", "Breaks in the ribbon."),
    (HAND_OVER, "Hand-over", "The lined edge of the ribbon: somebody else operates."),
)
"""What can be folded away beside the lanes: id, name, and what it is."""


def folded_from(text: str) -> frozenset[str]:
    """Ids of folded lanes from the settings."""
    return frozenset(part for part in text.split(",") if part)


def folded_text(folded: Collection[str]) -> str:
    """Ids of folded lanes for the settings."""
    return ",".join(sorted(folded))
