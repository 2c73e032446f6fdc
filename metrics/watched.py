"""How much of a case was watched in a review, how fast, and what was left out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from annotate.clock import US_PER_S
from annotate.watching import Watched
from metrics.intervals import Pairs, Spans, intersect, measure, subtract, union

SLOW_SPEED = 2.0
"""At this speed or slower a step can be judged: common practice, no source."""


@dataclass(frozen=True, slots=True)
class WatchedFigures:
    """What of the recording ran before the reviewer's eyes.

    Attributes
    ----------
    length_us : int
        Length of what was recorded, microseconds; gaps between parts left out.
    seen, slow, unseen : Spans
        What ran at least once, what did so at `SLOW_SPEED` or slower, and what never ran.
    seen_us, slow_us : int
        How much ran at least once, and at `SLOW_SPEED` or slower, microseconds.
    spent_us : int
        The reviewer's own time while the clip ran, microseconds; what ran twice counts twice.
    """

    length_us: int
    seen: Spans
    slow: Spans
    unseen: Spans
    seen_us: int
    slow_us: int
    spent_us: int

    @property
    def share(self) -> float:
        """Watched at least once, 0 to 1; 0 where nothing was recorded."""
        return self.seen_us / self.length_us if self.length_us else 0.0

    @property
    def slow_share(self) -> float:
        """Watched at `SLOW_SPEED` or slower, 0 to 1; never more than `share`."""
        return self.slow_us / self.length_us if self.length_us else 0.0


def watched_figures(watched: Iterable[Watched], length_us: int, gaps: Pairs = ()) -> WatchedFigures:
    """Add up what was watched.

    Parameters
    ----------
    watched : iterable of Watched
        In any order, overlapping as they may; what lies beyond the case counts as time spent only.
    length_us : int
        Length of the case, microseconds.
    gaps : pairs of int
        Stretches of the case clock in which nothing was recorded, microseconds.
    """
    stretches = tuple(watched)
    recorded = subtract(union([(0, length_us)]), union(gaps))
    seen = _within(stretches, recorded)
    slow = _within((w for w in stretches if w.speed <= SLOW_SPEED), recorded)
    return WatchedFigures(
        length_us=measure(recorded),
        seen=seen,
        slow=slow,
        unseen=subtract(recorded, seen),
        seen_us=measure(seen),
        slow_us=measure(slow),
        spent_us=round(sum((w.end_us - w.start_us) / w.speed for w in stretches)),
    )


def watched_document(figures: WatchedFigures) -> dict[str, object]:
    """Write the figures as plain values, times in seconds."""
    return {
        "share": figures.share,
        "share_at_2x_or_slower": figures.slow_share,
        "spent_s": round(figures.spent_us / US_PER_S, 3),
        "not_watched": [
            {"start_s": start / US_PER_S, "end_s": end / US_PER_S} for start, end in figures.unseen
        ],
    }


def _within(stretches: Iterable[Watched], recorded: Spans) -> Spans:
    return intersect(union((w.start_us, w.end_us) for w in stretches), recorded)
