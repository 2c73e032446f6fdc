"""Comments as they are written: what a draft says, and how it is kept. No Qt."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from annotate.clock import short_time
from annotate.ids import RowId, new_id
from annotate.marks import Mark
from annotate.tags import LONGEST_TEXT, Comment, Leaning, TagKind
from app.handback.wording import within
from app.review.spans import span_at
from app.review.wording import deed_words, row_words, tenths
from store import Put

if TYPE_CHECKING:
    from app.review.presenter import ReviewPresenter


@dataclass(frozen=True, slots=True)
class Draft:
    """What is in the comment box beside its words.

    Attributes
    ----------
    begun_us : int
        Case time at which typing began.
    end_us : int or None
        Until when the comment holds; None for a moment.
    replaced : RowId or None
        The comment that this one changes; it keeps its id and its time.
    """

    begun_us: int
    leaning: Leaning = Leaning.NEUTRAL
    weight: int | None = None
    end_us: int | None = None
    phase: str = ""
    mark_id: RowId | None = None
    replaced: RowId | None = None


class Commenting:
    """Begins drafts and keeps them as comments of the session that is reviewed."""

    def __init__(self, presenter: ReviewPresenter) -> None:
        self._presenter = presenter

    def begun(self, time_us: int) -> Draft:
        """A draft for a moment: about the phase at its time, and the mark just drawn there."""
        return Draft(time_us, phase=self.phase_at(time_us), mark_id=self._mark_of(time_us))

    def of(self, comment: Comment) -> Draft:
        """A kept comment as a draft that replaces it."""
        return Draft(
            comment.start_us,
            comment.leaning or Leaning.NEUTRAL,
            comment.weight,
            comment.end_us,
            comment.phase,
            comment.mark_id,
            comment.id,
        )

    def keep(self, text: str, draft: Draft) -> bool:
        """Keep a draft as a comment; False, with a sentence said, where it is refused."""
        words = text.strip()
        p = self._presenter
        if not words:
            return False
        if len(words) > LONGEST_TEXT:
            p.said.tell(
                f"This comment has {len(words):,} characters; at most {LONGEST_TEXT:,} are kept. "
                "Shorten it; it is still in the box."
            )
            return False
        old = p.row(draft.replaced)
        base = old if isinstance(old, Comment) else self._fresh(words, draft.begun_us)
        made = replace(
            base,
            text=words,
            end_us=draft.end_us,
            leaning=draft.leaning,
            weight=draft.weight,
            phase=draft.phase,
            mark_id=draft.mark_id if self.mark(draft.mark_id) else None,
        )
        if made == old:
            return True
        deed = "written at" if base is not old else "changed at"
        if isinstance(old, Comment) and made.text != old.text:
            deed = "reworded at"
        return p.edit(deed_words(deed, made, made.start_us, p.vocabulary), Put(made))

    def _fresh(self, words: str, begun_us: int) -> Comment:
        return Comment(RowId(new_id()), self._presenter.session.id, words, begun_us)

    # The phase that it is about

    def phase_at(self, time_us: int) -> str:
        """Code of the phase at a case time; empty between phases."""
        tag = span_at(self._presenter.markup.tags, TagKind.PHASE, time_us)
        return tag.code if tag else ""

    def next_phase(self, draft: Draft, step: int) -> Draft:
        """The draft about the next (1) or the last (-1) phase of the vocabulary, or about none."""
        codes = ["", *self._presenter.vocabulary.phase_codes]
        place = codes.index(draft.phase) if draft.phase in codes else 0
        return replace(draft, phase=codes[(place + step) % len(codes)])

    def phase_words(self, draft: Draft) -> str:
        """Label of the phase that it is about."""
        return self._presenter.vocabulary.label(draft.phase) if draft.phase else "No phase"

    def places(self, draft: Draft) -> dict[str, str]:
        """What a phrase's places are filled with; see `app.review.phrases.FILLED`."""
        p, at_us = self._presenter, draft.begun_us
        handed = span_at(p.markup.tags, TagKind.HAND_OVER, at_us)
        events = [t for t in p.markup.tags if t.kind is TagKind.EVENT and t.start_us <= at_us]
        last = max(events, key=lambda tag: tag.start_us, default=None)
        return {
            "phase": within(p.vocabulary.label(draft.phase)) if draft.phase else "",
            "time": short_time(at_us),
            "operator": handed.code if handed else p.case.operator.code,
            "event": within(p.vocabulary.label(last.code)) if last else "",
        }

    # The mark that belongs to it

    def mark(self, mark_id: RowId | None) -> Mark | None:
        """The mark of that id, if it is still there."""
        row = self._presenter.any_row(mark_id)
        return row if isinstance(row, Mark) else None

    def offered_mark(self, time_us: int) -> Mark | None:
        """The mark that is meant: the chosen one, else the one drawn last that shows then."""
        chosen = self.mark(self._presenter.chosen)
        if chosen is not None:
            return chosen
        marks = self._presenter.markup.marks
        here = [mark for mark in marks if mark.start_us <= time_us < mark.end_us]
        return max(here, key=lambda mark: mark.id, default=None)

    def toggled_mark(self, draft: Draft) -> Draft:
        """The draft without its mark, or with the one that is meant."""
        if draft.mark_id is not None:
            return replace(draft, mark_id=None)
        mark = self.offered_mark(draft.begun_us)
        if mark is None:
            self._presenter.said.tell(
                "No mark is chosen and none shows at this moment. Draw one, or choose one, then "
                "link it."
            )
            return draft
        return replace(draft, mark_id=mark.id)

    def mark_words(self, draft: Draft) -> str:
        """Which mark belongs to it."""
        mark = self.mark(draft.mark_id)
        if mark is None:
            return "none"
        return row_words(mark, self._presenter.vocabulary)

    def _mark_of(self, time_us: int) -> RowId | None:
        """The mark that a new comment takes by itself: the one that is meant, if not yet taken."""
        mark = self.offered_mark(time_us)
        taken = {comment.mark_id for comment in self._presenter.markup.comments}
        return None if mark is None or mark.id in taken else mark.id

    # The span that it holds for

    def toggled_end(self, draft: Draft) -> Draft:
        """The draft until the end of the frame on the screen, or for a moment again."""
        if draft.end_us is not None:
            return replace(draft, end_us=None)
        end_us = min(self._presenter.until_us, self._presenter.length_us)
        if end_us <= draft.begun_us or self._presenter.playhead_us <= draft.begun_us:
            self._presenter.said.tell(
                f"The comment begins at {tenths(draft.begun_us)}; let the clip go on past it "
                "before you end it."
            )
            return draft
        return replace(draft, end_us=end_us)
