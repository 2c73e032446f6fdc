"""Where everything on the timeline lies: the strip, the lanes under it, and what is known to it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF

from annotate.markup import Markup
from annotate.vocabulary import Vocabulary
from app.review.lanes import (
    COMMENTS,
    EVENTS,
    MARKS,
    PHASES,
    SETTINGS,
    Lane,
    PlacedLane,
    lay_out,
)
from app.review.machine_lane import MachineLane
from app.review.timeline_detail import Scale
from app.strip.layout import SLIM_PX, StripFrame
from app.strip.mark_shapes import mark_shapes

_UP, _RIBBON, _DOWN = "To commend", "Phases", "To correct"
WIDE_NAMES = (_UP, _RIBBON, _DOWN, "Comments", "Whole case")
"""The longest names of lanes: the gutter has room for them."""


def known_lanes(vocabulary: Vocabulary) -> tuple[Lane, ...]:
    """The lanes under the ribbon, from top to bottom."""
    return (
        Lane(
            COMMENTS,
            "Comments",
            "What is said of the moment over it; press Return to write.",
            32.0,
            17.0,
            lambda markup: markup.comments,
            has_content=lambda _markup: True,
        ),
        Lane(
            MARKS,
            "Marks",
            "For how long each mark is seen on the picture.",
            16.0,
            12.0,
            lambda markup: markup.marks,
            mark_shapes,
        ),
        Lane(
            SETTINGS,
            "Machine",
            "Machine values over their spans.",
            40.0,
            14.0,
            lambda markup: markup.settings,
            MachineLane(vocabulary),
        ),
    )


@dataclass(frozen=True, slots=True)
class Lanes:
    """Where the lanes lie now.

    Attributes
    ----------
    area : QRectF
        All lanes together, in pixels of the timeline.
    strip_px : float
        Height of the ribbon with its pins.
    placed : tuple of PlacedLane
        The lanes under it.
    has_pins, has_words : bool
        Whether events are shown, and names in the ribbon.
    is_slim : bool
        Whether the phases are folded.
    """

    area: QRectF
    start_us: int
    end_us: int
    strip_px: float
    placed: tuple[PlacedLane, ...] = ()
    has_pins: bool = True
    has_words: bool = True
    is_slim: bool = False

    @property
    def strip(self) -> StripFrame:
        """The strip's frame within the area."""
        return StripFrame(
            self.area.width(),
            max(self.strip_px, SLIM_PX if self.is_slim else 20.0),
            has_words=self.has_words,
            has_remarks=False,
            has_pins=self.has_pins,
            is_slim=self.is_slim,
            margin=0.0,
            start_us=self.start_us,
            end_us=self.end_us,
        )

    @property
    def scale(self) -> Scale:
        """Case time across the area."""
        width = max(self.area.width(), 1.0)
        per_px = max(self.end_us - self.start_us, 1) / width
        return Scale(self.start_us, per_px, int(width) + 1)

    @property
    def comments_top(self) -> float:
        """Where the lanes under the ribbon begin."""
        return self.area.y() + self.strip_px

    def place_of(self, lane_id: str) -> QRectF | None:
        """Where a lane lies; None while it takes no height."""
        for placed in self.placed:
            if placed.lane.id == lane_id:
                top = self.area.y() + placed.top
                return QRectF(self.area.x(), top, self.area.width(), placed.height)
        return None

    def lane_at(self, y: float) -> Lane | None:
        """The lane under the ribbon at a height."""
        for placed in self.placed:
            if placed.top <= y - self.area.y() < placed.top + placed.height:
                return placed.lane
        return None

    def names(self) -> tuple[tuple[str, float, float], ...]:
        """Name, top and bottom of each lane; no name where it could not be read."""
        top, bottom = self.strip.ribbon
        y = self.area.y()
        ribbon = [(_RIBBON, y + top, y + bottom)]
        if self.has_pins:
            ribbon = [
                (_UP, y, y + top),
                *ribbon,
                (_DOWN, y + bottom, self.comments_top),
            ]
        below = [(p.lane.name, y + p.top, y + p.top + p.height) for p in self.placed]
        return tuple(name for name in (*ribbon, *below) if name[2] - name[1] >= 11)

    def is_in_ribbon(self, y: float) -> bool:
        """Whether a height lies on the ribbon."""
        top, bottom = self.strip.ribbon
        return self.area.y() + top - 4 <= y <= self.area.y() + bottom + 4

    def is_in_strip(self, y: float) -> bool:
        """Whether a height lies on the ribbon or among its pins."""
        return y < self.comments_top

    def x_of(self, time_us: int) -> float:
        """Where a case time lies."""
        span = max(self.end_us - self.start_us, 1)
        return self.area.x() + (time_us - self.start_us) / span * self.area.width()


def lanes_in(
    area: QRectF,
    stretch_us: tuple[int, int],
    lanes: Sequence[Lane],
    markup: Markup,
    folded: Collection[str],
) -> Lanes:
    """Lay the timeline out in an area."""
    strip_px, placed = lay_out(lanes, markup, folded, area.height())
    is_slim = PHASES in folded
    return Lanes(
        area, *stretch_us, strip_px, placed,
        has_pins=EVENTS not in folded, has_words=not is_slim, is_slim=is_slim,
    )  # fmt: skip


def only(markup: Markup, lane: Lane, rows: Sequence[object]) -> Markup:
    """A session reduced to some rows of one lane."""
    if lane.id == MARKS:
        return replace(markup, marks=tuple(rows))  # type: ignore[arg-type]
    if lane.id == SETTINGS:
        return replace(markup, settings=tuple(rows))  # type: ignore[arg-type]
    return markup
