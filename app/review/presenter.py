"""What the review screen decides; it has no window.

Every change goes to the store as one edit and is kept before anything shows it. Listeners are
told what changed and look again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from annotate.case import Case, ReviewSession
from annotate.clock import US_PER_S
from annotate.ids import RowId, new_id
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary import EventTerm, IdleTerm, PhaseTerm, Vocabulary
from app.review.changing import Changing, shifted
from app.review.commenting import Commenting
from app.review.playhead import SPEEDS
from app.review.reaction import ReactionOffset
from app.review.spans import fresh_tag, opened_span, span_at
from app.review.wording import deed_words, row_words, tenths
from store import Put, Store

HAND_OVER_CODE = "attending"
Term = PhaseTerm | EventTerm | IdleTerm

__all__ = ["SPEEDS", "US_PER_S", "ReviewPresenter"]


class ReviewPresenter(Changing):
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
        self.reaction = ReactionOffset(reaction_s)
        self.term_wanted: Callable[[Term], None] | None = None
        """Takes the next word that is pressed, instead of its being tagged."""

    # Tagging

    def press_key(self, key: str) -> bool:
        """Do what the vocabulary has on a key; False where it has nothing there."""
        term = next((term for term in self.vocabulary.terms_to_tag if term.key == key), None)
        if term is None:
            return False
        self.press(term)
        return True

    def press(self, term: Term) -> None:
        """Start or end a phase or an idle reason, or drop an event."""
        if self.term_wanted is not None:
            self.term_wanted(term)
        elif isinstance(term, EventTerm):
            self._drop_event(term)
        else:
            kind = TagKind.PHASE if isinstance(term, PhaseTerm) else TagKind.IDLE
            self._toggle(kind, term.code)

    def press_hand_over(self) -> None:
        """Start or end the span in which somebody else operates."""
        if self.term_wanted is None:
            self._toggle(TagKind.HAND_OVER, HAND_OVER_CODE)
        else:
            self.said.tell("A hand-over has no code of the vocabulary. Esc leaves all as it is.")

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
        words = deed_words("begun at", kept, kept.start_us, self.vocabulary)
        with self.chosen_changed.gathered(), self.markup_changed.gathered():
            if self.edit(words, *changes):  # told once: a key press has 30 ms
                self.choose(kept.id)
                self.run_with(kept)

    def _drop_event(self, term: EventTerm) -> None:
        back_us = self.reaction.back_us(self.speed, is_playing=self.is_playing)
        at_us = max(self.playhead_us - back_us, 0)
        tag = Tag(
            RowId(new_id()),
            self.session.id,
            TagKind.EVENT,
            term.code,
            at_us,
            leaning=term.leaning,
            weight=term.weight,
        )
        if not self.edit(deed_words("tagged at", tag, at_us, self.vocabulary), Put(tag)):
            return
        self.choose(tag.id)
        if at_us < self.playhead_us:
            self.reaction.pressed_us[tag.id] = self.playhead_us
            self.told.tell(
                f"{term.label} is set back by {(self.playhead_us - at_us) / US_PER_S:.1f} s, to "
                f"{tenths(at_us)}. Backspace puts it to where the key was pressed."
            )

    def put_as_pressed(self) -> bool:
        """Put the chosen event, else the last that was set back, to where its key was pressed."""
        pressed = self.reaction.pressed_us
        row_id = self.chosen if self.chosen in pressed else next(reversed(pressed), None)
        row = self.row(row_id)
        if row_id is None or not isinstance(row, Tag) or row.start_us == pressed[row_id]:
            self.said.tell("No event was set back that could be put to where its key was pressed.")
            return False
        words = deed_words("put to its key press at", row, pressed[row.id], self.vocabulary)
        if not self.edit(words, Put(shifted(row, pressed[row.id] - row.start_us))):
            return False
        self.choose(row.id)
        self.told.tell(f"{words}.")
        return True

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
        commenting, old = Commenting(self), self.row(replaced)
        draft = commenting.begun(begun_us)
        if isinstance(old, Comment):
            draft = commenting.of(old)
        return commenting.keep(text, replace(draft, leaning=leaning))

    def sign(self) -> bool:
        """End what runs and sign the session; it takes no more edits."""
        if not self.is_refused():
            self.end_running()
        return super().sign()
