"""A span that is gone through again and again."""

from __future__ import annotations

from annotate.case import Case, ReviewSession
from annotate.clock import US_PER_S
from annotate.tags import TagKind
from annotate.vocabulary import Vocabulary
from app.notify import Notifier
from app.review.playhead import Playhead
from app.review.spans import span_at
from app.review.wording import row_words, tenths
from store import Store

AROUND_US = 2 * US_PER_S
"""How far a loop reaches before and after an instant."""
_HOW = "Set its start with Shift+Home and its end with Shift+End, or choose a tag and press L."


class LoopingPlayhead(Playhead):
    """A session whose viewer may go round in a span of it.

    Attributes
    ----------
    loop_edges : tuple of (int or None)
        Start and end as far as they are set, case time; a loop needs both.
    loop_changed : Notifier
        Told when an edge is set or the loop ends.
    """

    def __init__(
        self,
        store: Store,
        case: Case,
        session: ReviewSession,
        vocabulary: Vocabulary,
        by: str = "",
    ) -> None:
        super().__init__(store, case, session, vocabulary, by)
        self.loop_edges: tuple[int | None, int | None] = (None, None)
        self._last_loop: tuple[int, int] | None = None
        self.loop_changed: Notifier[[]] = Notifier()

    @property
    def loop(self) -> tuple[int, int] | None:
        """Start and end of the span that is gone round in, case time; None if there is none."""
        start_us, end_us = self.loop_edges
        return None if start_us is None or end_us is None else (start_us, end_us)

    def loop_from_here(self) -> None:
        """Let the loop start at the frame on the screen; an end before it is let go."""
        end_us = self.loop_edges[1]
        keeps_end = end_us is not None and end_us > self.playhead_us
        self._set_loop(self.playhead_us, end_us if keeps_end else None)

    def loop_to_here(self) -> None:
        """Let the loop end with the frame on the screen; a start after it is let go."""
        start_us = self.loop_edges[0]
        end_us = min(self.until_us, max(self.length_us, 1))
        keeps_start = start_us is not None and start_us < end_us
        self._set_loop(start_us if keeps_start else None, end_us)

    def toggle_loop(self) -> None:
        """End the loop; where there is none, go round in what is chosen.

        With nothing chosen it is the loop before, if one is in it, or the phase on the screen, or
        the loop before wherever it lies.
        """
        if self.loop_edges != (None, None):
            self.end_loop()
            return
        span = self._chosen_span() or self._last_here() or self._phase_here() or self._last_loop
        if span is None:
            self.said.tell(f"There is nothing to loop here. {_HOW}")
            return
        self._set_loop(*span)

    def end_loop(self) -> None:
        """Go on past the end of the span again."""
        if self.loop is not None:
            self._last_loop = self.loop
        self._set_loop(None, None)

    def loop_words(self) -> str:
        """Say what is looped, or what is still missing."""
        start_us, end_us = self.loop_edges
        if start_us is None and end_us is None:
            return "No loop"
        if start_us is None or end_us is None:
            missing = "end: Shift+End" if end_us is None else "start: Shift+Home"
            return f"Loop {self.edge_words()}; it has no {missing}"
        return f"Loop {tenths(start_us)} to {tenths(end_us)}"

    def edge_words(self) -> str:
        """Of a loop that has one edge so far, which and where, in short; else nothing."""
        start_us, end_us = self.loop_edges
        if start_us is not None and end_us is None:
            return f"from {tenths(start_us)}"
        return f"to {tenths(end_us)}" if start_us is None and end_us is not None else ""

    def loop_name(self) -> str:
        """What the looped span is tagged as, if it is one tag's."""
        loop = self.loop
        if loop is None:
            return ""
        for tag in self.shown_markup().tags:
            if loop == (tag.start_us, tag.end_us):
                return row_words(tag, self.vocabulary)
        return ""

    def _set_loop(self, start_us: int | None, end_us: int | None) -> None:
        if (start_us, end_us) != self.loop_edges:
            self.loop_edges = (start_us, end_us)
            self.loop_changed.tell()

    def _chosen_span(self) -> tuple[int, int] | None:
        """The chosen span; the moments around a chosen instant."""
        row = self.row(self.chosen)
        if row is None:
            return None
        shown = next((r for r in self.shown_markup().tags if r.id == row.id), row)
        if shown.end_us is not None and shown.end_us > shown.start_us:
            return shown.start_us, min(shown.end_us, self.length_us)
        start_us = max(shown.start_us - AROUND_US, 0)
        end_us = min(shown.start_us + AROUND_US, self.length_us)
        return (start_us, end_us) if end_us > start_us else None

    def _last_here(self) -> tuple[int, int] | None:
        last = self._last_loop
        return last if last is not None and last[0] <= self.playhead_us < last[1] else None

    def _phase_here(self) -> tuple[int, int] | None:
        tag = span_at(self.markup.tags, TagKind.PHASE, self.playhead_us)
        return (tag.start_us, tag.end_us) if tag is not None and tag.end_us is not None else None
