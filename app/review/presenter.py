"""What the review screen decides; it has no window.

Every change goes to the store as one edit and is kept before anything shows it. Listeners are
told what changed and look again.
"""

from __future__ import annotations

from dataclasses import replace

from annotate.case import Case, ReviewSession
from annotate.clock import US_PER_S
from annotate.ids import RowId, new_id
from annotate.tags import LONGEST_TEXT, Comment, Leaning, Tag, TagKind
from annotate.vocabulary import EventTerm, IdleTerm, PhaseTerm, Vocabulary
from app.review.looping import LoopingPlayhead
from app.review.playhead import SPEEDS
from app.review.spans import fresh_tag, opened_span, reshaped_span, span_at
from app.review.wording import deed_words, row_words, tenths
from store import Drop, Put, Store

HAND_OVER_CODE = "attending"
_SHORTEST_US = 1000

__all__ = ["SPEEDS", "US_PER_S", "ReviewPresenter"]


class ReviewPresenter(LoopingPlayhead):
    """One reviewer's session on one case: tagging, comments, corrections.

    Parameters
    ----------
    reaction_s : float
        How far an event tagged while playing is set back, seconds of the viewer's time.
    """

    def __init__(
        self,
        store: Store,
        case: Case,
        session: ReviewSession,
        vocabulary: Vocabulary,
        reaction_s: float = 0.4,
        by: str = "",
    ) -> None:
        super().__init__(store, case, session, vocabulary, by)
        self.reaction_s = reaction_s

    # Tagging

    def press_key(self, key: str) -> bool:
        """Do what the vocabulary has on a key; False where it has nothing there."""
        term = next((term for term in self.vocabulary.terms if term.key == key), None)
        if term is None:
            return False
        self.press(term)
        return True

    def press(self, term: PhaseTerm | EventTerm | IdleTerm) -> None:
        """Start or end a phase or an idle reason, or drop an event."""
        if isinstance(term, EventTerm):
            self._drop_event(term)
        else:
            kind = TagKind.PHASE if isinstance(term, PhaseTerm) else TagKind.IDLE
            self._toggle(kind, term.code)

    def press_hand_over(self) -> None:
        """Start or end the span in which somebody else operates."""
        self._toggle(TagKind.HAND_OVER, HAND_OVER_CODE)

    def _toggle(self, kind: TagKind, code: str) -> None:
        if self.is_refused():
            return
        running = self.running_tag(kind)
        if running is not None and running.code == code:
            self.end_span(running, self.playhead_us)
            return
        if running is None:
            under = span_at(self.markup.tags, kind, self.playhead_us)
            if under is not None and under.code == code and under.start_us < self.playhead_us:
                self.end_span(under, self.playhead_us)
                return
        self._start(kind, code)

    def _start(self, kind: TagKind, code: str) -> None:
        fresh = fresh_tag(self.session.id, kind, code, self.playhead_us)
        if self.until_us >= self.length_us:
            self.said.tell(
                f"{row_words(fresh, self.vocabulary)} cannot begin here: the case ends with this "
                "frame."
            )
            return
        kept, changes = opened_span(self.markup.tags, fresh, self.length_us)
        if self.edit(deed_words("begun at", kept, kept.start_us, self.vocabulary), *changes):
            self.choose(kept.id)
            self.run_with(kept)

    def _drop_event(self, term: EventTerm) -> None:
        back_us = round(self.reaction_s * self.speed * US_PER_S) if self.is_playing else 0
        tag = Tag(
            RowId(new_id()),
            self.session.id,
            TagKind.EVENT,
            term.code,
            max(self.playhead_us - back_us, 0),
            leaning=term.leaning,
            weight=term.weight,
        )
        if self.edit(deed_words("tagged at", tag, tag.start_us, self.vocabulary), Put(tag)):
            self.choose(tag.id)

    # Comments

    def keep_comment(
        self, text: str, begun_us: int, leaning: Leaning, replaced: RowId | None = None
    ) -> bool:
        """Keep a comment at the time at which its typing began.

        Parameters
        ----------
        replaced : RowId or None
            The comment that this text replaces; it keeps its own time.
        """
        words = text.strip()
        if not words:
            return False
        if len(words) > LONGEST_TEXT:
            self.said.tell(
                f"This comment has {len(words):,} characters; at most {LONGEST_TEXT:,} are kept. "
                "Shorten it; it is still in the box."
            )
            return False
        old = self.row(replaced)
        if isinstance(old, Comment):
            changed = replace(old, text=words, leaning=leaning)
            done = deed_words("reworded at", changed, old.start_us, self.vocabulary)
            return self.edit(done, Put(changed))
        phase = span_at(self.markup.tags, TagKind.PHASE, begun_us)
        comment = Comment(
            RowId(new_id()),
            self.session.id,
            words,
            begun_us,
            leaning=leaning,
            phase=phase.code if phase else "",
        )
        done = deed_words("written at", comment, begun_us, self.vocabulary)
        return self.edit(done, Put(comment))

    # Changing what is there

    def move_edge(self, row_id: RowId, is_start: bool, time_us: int) -> bool:
        """Set the start or the end of a span; its neighbours of the same kind yield."""
        tag = self.row(row_id)
        if not isinstance(tag, Tag) or tag.end_us is None or self.is_refused():
            return False
        shaped = self.edge_preview(self.stopped(tag), is_start, time_us)
        if shaped == tag:
            return False
        edge, at_us = ("start", shaped.start_us) if is_start else ("end", shaped.end_us or 0)
        words = deed_words(f"set to {edge} at", tag, at_us, self.vocabulary)
        return self.edit(words, *reshaped_span(self.markup.tags, shaped))

    def edge_preview(self, tag: Tag, is_start: bool, time_us: int) -> Tag:
        """The tag as it would be with an edge elsewhere; never turned inside out."""
        assert tag.end_us is not None
        if is_start:
            return replace(tag, start_us=max(0, min(time_us, tag.end_us - _SHORTEST_US)))
        end_us = max(tag.start_us + _SHORTEST_US, min(time_us, self.length_us))
        return replace(tag, end_us=end_us)

    def set_chosen_here(self, *, is_start: bool) -> bool:
        """Let the chosen span start or end at the playhead; move a chosen event or comment here."""
        row = self.row(self.chosen)
        if row is None:
            self.said.tell("Choose a tag first: go through them with Down and Up, or click one.")
            return False
        if isinstance(row, Tag) and row.kind is not TagKind.EVENT:
            return self.move_edge(row.id, is_start, self.playhead_us)
        return self._move_row(row, self.playhead_us)

    def nudge_chosen(self, *, is_start: bool, frames: int) -> bool:
        """Move an edge of the chosen span, or the chosen event or comment, by frames."""
        row = self.row(self.chosen)
        if row is None:
            return False
        by_us = frames * (self.until_us - self.playhead_us)
        if isinstance(row, Tag) and row.kind is not TagKind.EVENT and row.end_us is not None:
            edge_us = row.start_us if is_start else row.end_us
            return self.move_edge(row.id, is_start, edge_us + by_us)
        return self._move_row(row, row.start_us + by_us)

    def _move_row(self, row: Tag | Comment, start_us: int) -> bool:
        start_us = max(0, min(start_us, self.length_us))
        end_us = None if row.end_us is None else row.end_us + start_us - row.start_us
        moved = replace(row, start_us=start_us, end_us=end_us)
        if moved == row:
            return False
        return self.edit(deed_words("moved to", row, start_us, self.vocabulary), Put(moved))

    def weigh_chosen(self, *, leaning: Leaning | None = None, weight: int | None = None) -> bool:
        """Change the leaning or the weight of the chosen event or comment."""
        row = self.row(self.chosen)
        if row is None or (isinstance(row, Tag) and row.kind is not TagKind.EVENT):
            return False
        changed = replace(row, leaning=leaning or row.leaning, weight=weight or row.weight)
        if changed == row:
            return False
        words = deed_words("weighed anew at", row, row.start_us, self.vocabulary)
        return self.edit(words, Put(changed))

    def remove_chosen(self) -> bool:
        """Remove the chosen tag or comment, and say which it was."""
        row = self.row(self.chosen)
        if row is None:
            return False
        words = deed_words("removed at", row, row.start_us, self.vocabulary)
        if not self.edit(words, Drop(type(row), row.id)):
            return False
        self.choose(None)
        self.said.tell(f"{words}. Ctrl+Z brings it back.")
        return True

    def sign(self) -> bool:
        """End what runs and sign the session; it takes no more edits."""
        if not self.is_refused():
            self.end_running()
        return super().sign()

    def place_words(self) -> str:
        """Say what is chosen and where, for the line under the pad."""
        row = self.row(self.chosen)
        if row is None:
            return ""
        span = tenths(row.start_us)
        if row.end_us is not None:
            span += f" to {tenths(row.end_us)}"
        return f"{span}: {row_words(row, self.vocabulary)}"
