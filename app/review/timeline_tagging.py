"""Tags that are made and moved on the timeline; no window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from annotate.ids import RowId, new_id
from annotate.markup import Markup, Row
from annotate.tags import Tag, TagKind
from annotate.vocabulary import EventTerm, IdleTerm, PhaseTerm
from app.review.changing import shifted
from app.review.presenter import HAND_OVER_CODE, ReviewPresenter
from app.review.spans import Change, fresh_tag, opened_span, reshaped_span
from app.review.wording import deed_words
from store import Drop, Put

Term = PhaseTerm | EventTerm | IdleTerm
SHORTEST_US = 1000


class TimelineTagging:
    """Makes tags at places that are pointed at."""

    def __init__(self, presenter: ReviewPresenter) -> None:
        self._p = presenter

    def tag_span(self, term: Term | None, start_us: int, end_us: int) -> bool:
        """Keep a span; None is a hand-over. Its neighbours of the same kind yield.

        An event keeps the span that it was given.
        """
        p = self._p
        if p.is_refused():
            return False
        start_us, end_us = max(0, min(start_us, end_us)), min(max(start_us, end_us), p.length_us)
        if end_us - start_us < SHORTEST_US:
            return False
        tag = replace(self._fresh(term, start_us), end_us=end_us)
        words = deed_words("tagged at", tag, start_us, p.vocabulary)
        if not p.keep(words, reshaped_span(p.markup.tags, tag), {tag.id}):
            return False
        p.choose(tag.id)
        return True

    def tag_at(self, term: Term | None, time_us: int) -> bool:
        """Keep an event there, or a span from there to the next of its kind."""
        p = self._p
        if p.is_refused():
            return False
        tag = self._fresh(term, max(0, min(time_us, p.length_us)))
        changes: list[Change] = [Put(tag)]
        if tag.kind is not TagKind.EVENT:
            tag, changes = opened_span(p.markup.tags, tag, p.length_us)
        words = deed_words("tagged at", tag, tag.start_us, p.vocabulary)
        if not p.keep(words, changes, {tag.id}):
            return False
        p.choose(tag.id)
        return True

    def choose_as_far(self, row_id: RowId | None) -> None:
        """Choose all of a kind from what is chosen to another one."""
        p = self._p
        lead, last = p.any_row(p.chosen), p.any_row(row_id)
        if last is None or lead is None or _sort(last) != _sort(lead):
            p.choose(row_id)
            return
        low, high = sorted((_start(lead), _start(last)))
        rows: tuple[Row, ...] = (
            *p.markup.tags,
            *p.markup.comments,
            *p.markup.marks,
            *p.markup.settings,
        )
        between = [r.id for r in rows if low <= _start(r) <= high and _sort(r) == _sort(lead)]
        p.choose(p.chosen, too=between)

    def _fresh(self, term: Term | None, time_us: int) -> Tag:
        p = self._p
        if isinstance(term, EventTerm):
            return Tag(
                RowId(new_id()), p.session.id, TagKind.EVENT, term.code, time_us,
                leaning=term.leaning, weight=term.weight,
            )  # fmt: skip
        if term is None:
            return fresh_tag(p.session.id, TagKind.HAND_OVER, HAND_OVER_CODE, time_us)
        kind = TagKind.PHASE if isinstance(term, PhaseTerm) else TagKind.IDLE
        return fresh_tag(p.session.id, kind, term.code, time_us)

    # What a drag would do

    def edge_preview(self, tag: Tag, is_start: bool, time_us: int) -> tuple[Tag, Markup]:
        """A span with an edge elsewhere, and the session as it would be: neighbours yield."""
        p = self._p
        shaped = p.edge_preview(p.as_far(tag), is_start, time_us)
        return shaped, previewed(p.markup, reshaped_span(p.markup.tags, shaped))

    def move_preview(self, rows: Sequence[Row], by_us: int) -> Markup:
        """The session as it would be with rows moved whole."""
        p = self._p
        return previewed(p.markup, p.changes_to([shifted(p.far(row), by_us) for row in rows]))

    def bounded(self, rows: Sequence[Row], by_us: int) -> int:
        """As much of a shift as the case has room for."""
        return self._p.bounded([self._p.far(row) for row in rows], by_us)


def previewed(markup: Markup, changes: Sequence[Change]) -> Markup:
    """A session as an edit would leave it."""
    put = [change.row for change in changes if isinstance(change, Put)]
    return markup.with_rows(put, {change.id for change in changes if isinstance(change, Drop)})


def _start(row: Row) -> int:
    return int(getattr(row, "start_us", 0))


def _sort(row: Row) -> tuple[object, ...]:
    """Rows of one sort are chosen together: phases, events, comments, marks."""
    return type(row), row.kind if isinstance(row, Tag) else None
