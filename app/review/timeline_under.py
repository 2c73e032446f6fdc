"""What lies under the pointer on the timeline, found by bisection."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF

from annotate.clock import US_PER_S, format_time
from annotate.ids import RowId
from annotate.marks import Mark, Setting
from annotate.setting_values import value_words
from annotate.tags import Comment, Leaning, Tag, TagKind
from app.review.join_marks import join_at
from app.review.lanes import COMMENTS, MARKS, SETTINGS
from app.review.timeline_chosen import grip_box
from app.review.timeline_detail import gathered, n_comment_rows
from app.review.timeline_index import Times
from app.review.timeline_lanes import Lanes
from app.review.wording import tenths
from app.setting_words import breach_words
from metrics.setting_limits import breaches

if TYPE_CHECKING:
    from app.review.timeline import TimelineView

EDGE_PX = 5
NEAR_PX = 7
_LETTER_PX = 5.5
_MOST_NAMED = 5


class Under:
    """Looks at the timeline as it is shown."""

    def __init__(self, timeline: TimelineView) -> None:
        self._timeline = timeline
        self._presenter = timeline.presenter

    def _within_us(self, px: float) -> float:
        return px * self._timeline.lanes_area().scale.us_per_px

    def edge_at(self, position: QPointF) -> tuple[Tag, bool] | None:
        """The span whose start (True) or end (False) lies under a point; the chosen one first."""
        lanes = self._timeline.lanes_area()
        if not lanes.is_in_ribbon(position.y()):
            return None
        at_us, within_us = self._timeline.time_at(position), self._within_us(EDGE_PX)
        best: tuple[float, Tag, bool] | None = None
        for times in self._timeline.lanes.index.spans.values():
            seen = times.seen(at_us - within_us, at_us + within_us)
            for is_start, edges in ((True, times.starts), (False, times.ends)):
                away = np.abs(edges[seen] - at_us)
                order = seen[np.argsort(away, kind="stable")[:8]]
                for place in order.tolist():
                    tag = times.rows[place]
                    assert isinstance(tag, Tag)
                    off = float(abs(int(edges[place]) - at_us))
                    if off > within_us:
                        break
                    if tag.id == self._presenter.chosen:
                        off = -1.0
                    elif (at_us >= edges[place]) is not is_start:
                        off += 0.5  # of two that meet, the one that the pointer is in
                    if best is None or off < best[0]:
                        best = (off, tag, is_start)
        return (best[1], best[2]) if best else None

    def grip_at(self, position: QPointF) -> Tag | None:
        """The chosen span whose grip lies under a point."""
        row = self._presenter.row(self._presenter.chosen)
        if not isinstance(row, Tag):
            return None
        box = grip_box(self._timeline.lanes_area(), self._as_shown(row))
        return row if box is not None and box.contains(position) else None

    def _as_shown(self, row: Tag) -> Tag:
        return next((t for t in self._presenter.running_shown() if t.id == row.id), row)

    def row_at(self, position: QPointF) -> RowId | None:
        """Id of what is under a point: in the lane there, else pins before spans."""
        lanes = self._timeline.lanes_area()
        lane = lanes.lane_at(position.y())
        index, at_us = self._timeline.lanes.index, self._timeline.time_at(position)
        if lane is not None:
            if lane.id == COMMENTS:
                return self._comment_at(lanes, position.y(), at_us)
            times = {MARKS: index.marks, SETTINGS: index.settings}.get(lane.id)
            return self._shortest(times, at_us) if times is not None else None
        if lanes.has_pins:
            pin = self._pin_at(lanes, position, at_us)
            if pin is not None:
                return pin
        if not lanes.is_in_ribbon(position.y()):
            return None
        found = [(t, n) for t in index.spans.values() for n in t.seen(at_us, at_us).tolist()
                 if t.ends[n] > at_us]  # fmt: skip
        if not found:
            return None
        times, place = min(found, key=lambda x: x[0].ends[x[1]] - x[0].starts[x[1]])
        return _id(times.rows[place])

    def _shortest(self, times: Times, at_us: int) -> RowId | None:
        margin = self._within_us(2)
        seen = times.seen(at_us - margin, at_us + margin)
        if not seen.size:
            return None
        return _id(times.rows[int(seen[np.argmin(times.ends[seen] - times.starts[seen])])])

    def _comment_at(self, lanes: Lanes, y: float, at_us: int) -> RowId | None:
        """The comment whose tick or words lie there, else the one whose tick is near."""
        times = self._timeline.lanes.index.comments.times
        spot = lanes.place_of(COMMENTS)
        assert spot is not None
        n_rows = n_comment_rows(spot.height())
        row_no = min(int((y - spot.y()) / spot.height() * n_rows), n_rows - 1)
        within_us = self._within_us(NEAR_PX)
        near = times.seen(at_us - within_us, at_us + within_us)
        near = near[np.argsort(np.abs(times.starts[near] - at_us), kind="stable")]
        in_row = near[near % n_rows == row_no]
        if in_row.size:
            return _id(times.rows[int(in_row[0])])
        before = int(np.searchsorted(times.starts, at_us)) - 1
        before -= (before - row_no) % n_rows
        if before >= 0:
            row = times.rows[before]
            assert isinstance(row, Comment)
            away_px = (at_us - row.start_us) / lanes.scale.us_per_px
            if away_px <= len(row.text) * _LETTER_PX:
                return row.id
        return _id(times.rows[int(near[0])]) if near.size else None

    def pins_at(self, position: QPointF) -> list[Tag]:
        """Events about a point, those on its side of the ribbon first, then the nearest."""
        lanes, at_us = self._timeline.lanes_area(), self._timeline.time_at(position)
        if not lanes.has_pins or not lanes.is_in_strip(position.y()):
            return []
        times = self._timeline.lanes.index.events.times
        within_us = self._within_us(NEAR_PX)
        seen = times.seen(at_us - within_us, at_us + within_us)
        side = _side(lanes, position.y())
        keys = np.abs(times.starts[seen] - at_us).astype(np.float64)
        leanings = self._timeline.lanes.index.events.leanings[seen]
        keys += np.where(leanings == side, 0.0, 2.0 * within_us + 1)
        order = seen[np.argsort(keys, kind="stable")].tolist()
        return [times.rows[n] for n in order]

    def _pin_at(self, lanes: Lanes, position: QPointF, at_us: int) -> RowId | None:
        found = self.pins_at(position)
        return found[0].id if found else None

    def words_at(self, position: QPointF) -> str:
        """What lies under a point: a tag, a comment, a mark, a join, else the time."""
        lanes = self._timeline.lanes_area()
        row = self._presenter.any_row(self.row_at(position))
        join = join_at(self._timeline.lanes.joins, lanes, position.x(), EDGE_PX)
        if row is None or (join is not None and not lanes.is_in_ribbon(position.y())):
            return join.words if join else format_time(self._timeline.time_at(position))
        start_us, end_us = getattr(row, "start_us", 0), getattr(row, "end_us", None)
        span = format_time(start_us)
        if end_us:
            span += f" to {format_time(end_us)} ({(end_us - start_us) / US_PER_S:.1f} s)"
        if isinstance(row, Comment):
            return f"{row.text[:200]}\n{span}"
        if isinstance(row, Mark):
            return f"{row.text or row.kind.value.capitalize()}, on the picture\n{span}"
        if isinstance(row, Setting):
            return "\n".join([value_words(row) or "Machine values", span, *self._passed(row)])
        assert isinstance(row, Tag)
        under = self._under_pin(lanes, row) if row.kind is TagKind.EVENT else []
        if len(under) > 1:
            return self._several_words(under)
        return f"{self._name(row)}\n{span}\n{row.comment}".strip()

    def _under_pin(self, lanes: Lanes, event: Tag) -> list[Tag]:
        """Events that are drawn as one pin with this one."""
        events = self._timeline.lanes.index.events
        near = events.times.seen(event.start_us, event.start_us).tolist()
        place = next((n for n in near if _id(events.times.rows[n]) == event.id), None)
        if place is None:
            return []
        found = (events.times.rows[n] for n in gathered(events, place, lanes.scale).tolist())
        return [row for row in found if isinstance(row, Tag)]

    def _several_words(self, events: list[Tag]) -> str:
        """How many there are under one pin, from when to when, and the most frequent of them."""
        often = Counter(map(self._name, events)).most_common()
        shown = [f"{name} ({n})" if n > 1 else name for name, n in often[:_MOST_NAMED]]
        if len(often) > _MOST_NAMED:
            rest = sum(n for _, n in often[_MOST_NAMED:])
            shown.append(f"and {rest} more")
        span = f"{tenths(events[0].start_us)} to {tenths(events[-1].start_us)}"
        lines = [f"{len(events)} events under this pin, {span}", *shown, "Zoom in to part them."]
        return "\n".join(lines)

    def _passed(self, setting: Setting) -> list[str]:
        """The limits that values pass, a sentence each."""
        p = self._presenter
        found = breaches((p.setting_as_shown(setting),), p.markup.tags, p.vocabulary)
        return [breach_words(breach, p.vocabulary) for breach in found]

    def _name(self, tag: Tag) -> str:
        if tag.kind is TagKind.HAND_OVER:
            return f"Hand-over: {tag.code} operates"
        return self._presenter.vocabulary.label(tag.code)


def _side(lanes: Lanes, y: float) -> int:
    """Number of the leaning whose pins stand at a height."""
    top, bottom = lanes.strip.ribbon
    away = y - lanes.area.y()
    leaning = Leaning.COMMEND if away < top else Leaning.CORRECT
    return 0 if top <= away <= bottom else 1 if leaning is Leaning.COMMEND else 2


def _id(row: object) -> RowId:
    found: RowId = row.id  # type: ignore[attr-defined]
    return found
