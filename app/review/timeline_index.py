"""What a session holds, in arrays in order of time: what is in sight is found by bisection."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from annotate.ids import RowId
from annotate.markup import Markup
from annotate.tags import Comment, Leaning, Tag, TagKind

Whole = NDArray[np.int64]
LEANINGS = (Leaning.NEUTRAL, Leaning.COMMEND, Leaning.CORRECT)
"""Their places are the numbers in `Times.leanings`."""
_NUMBERS: Mapping[Leaning | None, int] = {None: 0, **{x: n for n, x in enumerate(LEANINGS)}}


@dataclass(frozen=True, slots=True, eq=False)
class Times:
    """Rows of one kind in order of start.

    Attributes
    ----------
    rows : sequence
        Tags, comments, marks or settings.
    starts, ends : (n,) int64
        Case time, microseconds; an instant ends where it starts.
    reach : (n,) int64
        The latest end of a row and all before it.
    """

    rows: Sequence[object]
    starts: Whole
    ends: Whole
    reach: Whole

    def seen(self, start_us: float, end_us: float) -> Whole:
        """Places of the rows that lie within a stretch or reach into it."""
        first = int(np.searchsorted(self.reach, start_us, "left"))
        last = int(np.searchsorted(self.starts, end_us, "right"))
        places = np.arange(first, max(last, first), dtype=np.int64)
        return places[self.ends[first:last] >= start_us] if last > first else places


def times_of(rows: Sequence[object]) -> Times:
    """Arrays of rows that are in order of start."""
    starts = np.array([row.start_us for row in rows], np.int64)  # type: ignore[attr-defined]
    ends = np.array(
        [row.start_us if row.end_us is None else row.end_us for row in rows],  # type: ignore[attr-defined]
        np.int64,
    )
    return Times(rows, starts, ends, np.maximum.accumulate(ends) if len(ends) else ends)


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """Events or comments with their leaning, as a number, and weight."""

    times: Times
    leanings: Whole
    weights: Whole


def _weighed(rows: Sequence[Tag | Comment]) -> Weighed:
    return Weighed(
        times_of(rows),
        np.array([_NUMBERS[row.leaning] for row in rows], np.int64),
        np.array([row.weight or 1 for row in rows], np.int64),
    )


@dataclass(frozen=True, slots=True, eq=False)
class TimelineIndex:
    """All of a session that the timeline shows.

    Attributes
    ----------
    spans : mapping of TagKind to Times
        Phases, idle reasons and hand-overs.
    codes : (n,) int64
        Of each phase, the place of its code among the styles, -1 where it has none.
    """

    markup: Markup
    spans: Mapping[TagKind, Times]
    codes: Whole
    events: Weighed
    comments: Weighed
    marks: Times
    settings: Times

    def shown_until(self, running: Sequence[Tag]) -> TimelineIndex:
        """The same with some spans shown as ending where these end."""
        spans = dict(self.spans)
        for tag in running:
            times = spans[tag.kind]
            place = int(np.searchsorted(times.starts, tag.start_us))
            while place < len(times.rows) and times.rows[place].id != tag.id:  # type: ignore[attr-defined]
                place += 1
            if place < len(times.rows) and tag.end_us is not None:
                ends = times.ends.copy()
                ends[place] = tag.end_us
                spans[tag.kind] = replace(times, ends=ends, reach=np.maximum.accumulate(ends))
        return replace(self, spans=spans) if running else self

    def comment_place(self, comment: Comment) -> int | None:
        """Place of a comment among all of them."""
        times = self.comments.times
        near = times.seen(comment.start_us, comment.start_us).tolist()
        return next((n for n in near if times.rows[n].id == comment.id), None)

    def edges(self, but: Sequence[RowId] = ()) -> Whole:
        """Starts and ends of all tags, in order; those of some rows left out."""
        taken = set(but)
        found: list[Whole] = []
        for times in (*self.spans.values(), self.events.times):
            starts, ends = times.starts, times.ends
            if taken:
                keep = np.array([row.id not in taken for row in times.rows], np.bool_)  # type: ignore[attr-defined]
                starts, ends = starts[keep], ends[keep]
            found.extend((starts, ends))
        return np.unique(np.concatenate(found))


_SPANS = (TagKind.PHASE, TagKind.IDLE, TagKind.HAND_OVER)


def timeline_index(
    markup: Markup, codes: Sequence[str], last: TimelineIndex | None = None
) -> TimelineIndex:
    """Arrays of a session; what is as it was in `last` is taken over.

    Parameters
    ----------
    codes : sequence of str
        Codes of the phases that have a style.
    """
    old = last.markup if last is not None else None
    has_tags = last is not None and old is not None and old.tags is markup.tags
    if last is not None and has_tags:
        spans, numbers, events = last.spans, last.codes, last.events
    else:
        tags = markup.tags
        spans = {kind: times_of([t for t in tags if t.kind is kind]) for kind in _SPANS}
        place = {code: n for n, code in enumerate(codes)}
        phases: Sequence[Tag] = spans[TagKind.PHASE].rows  # type: ignore[assignment]
        numbers = np.array([place.get(tag.code, -1) for tag in phases], np.int64)
        events = _weighed([t for t in tags if t.kind is TagKind.EVENT])
    same = last is not None and old is not None
    return TimelineIndex(
        markup,
        spans,
        numbers,
        events,
        last.comments  # type: ignore[union-attr]
        if same and old.comments is markup.comments  # type: ignore[union-attr]
        else _weighed(markup.comments),
        last.marks  # type: ignore[union-attr]
        if same and old.marks is markup.marks  # type: ignore[union-attr]
        else times_of(markup.marks),
        last.settings  # type: ignore[union-attr]
        if same and old.settings is markup.settings  # type: ignore[union-attr]
        else times_of(markup.settings),
    )
