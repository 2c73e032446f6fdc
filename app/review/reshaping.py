"""Splitting, joining, moving, recoding and typing tags; no window.

Each deed is one edit with a sentence of its own; what cannot be done is refused in a sentence.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from annotate.ids import RowId, new_id
from annotate.markup import Row
from annotate.tags import Tag, TagKind
from annotate.vocabulary import EventTerm, PhaseTerm, Vocabulary
from app.notify import Notifier
from app.review.changing import SHORTEST_US, shifted
from app.review.presenter import ReviewPresenter, Term
from app.review.spans import Change, reshaped_span, span_at, yielded
from app.review.wording import (
    counted_rows,
    deed_words,
    row_words,
    rows_deed_words,
    tenths,
    yield_words,
)
from store import Drop, Put

KIND_WORDS = {
    TagKind.PHASE: "a phase",
    TagKind.EVENT: "an event",
    TagKind.IDLE: "an idle reason",
    TagKind.HAND_OVER: "a hand-over",
}


def kind_of(term: Term) -> TagKind:
    """The kind of tag that a word of the vocabulary makes."""
    if isinstance(term, PhaseTerm):
        return TagKind.PHASE
    return TagKind.EVENT if isinstance(term, EventTerm) else TagKind.IDLE


class Reshaping:
    """Gives tags another shape or code.

    Parameters
    ----------
    presenter : ReviewPresenter

    Attributes
    ----------
    prompt : str
        What is asked for while the next key is to give another code; empty while none is.
    prompt_changed : Notifier
        Told with the prompt.
    """

    def __init__(self, presenter: ReviewPresenter) -> None:
        self._p = presenter
        self.prompt = ""
        self.prompt_changed: Notifier[[str]] = Notifier()
        presenter.chosen_changed.listen(self._let_prompt_go)

    def _refuse(self, sentence: str) -> bool:
        self._p.said.tell(sentence)
        return False

    # Shape

    def split(self) -> bool:
        """Split the chosen span, else the phase on the screen, at the playhead."""
        p = self._p
        at_us = p.playhead_us
        row = p.row(p.chosen)
        if not isinstance(row, Tag) or row.end_us is None:
            row = span_at(p.markup.tags, TagKind.PHASE, at_us)
        if p.is_refused():
            return False
        if row is None or row.end_us is None:
            return self._refuse("There is no span here: choose one, go into it, split it there.")
        if not row.start_us + SHORTEST_US <= at_us <= row.end_us - SHORTEST_US:
            return self._refuse(
                f"{row_words(row, p.vocabulary)} goes from {tenths(row.start_us)} to "
                f"{tenths(row.end_us)}: go to a frame within it, then split it there."
            )
        if (p.as_far(row).end_us or 0) - SHORTEST_US < at_us:
            return self._refuse(
                f"{row_words(row, p.vocabulary)} has come no farther than this frame: go back into "
                "it, then split it."
            )
        tag = p.stopped(row)
        before = replace(tag, end_us=at_us)
        after = replace(tag, id=RowId(new_id()), start_us=at_us, comment="")
        words = deed_words("split at", tag, at_us, p.vocabulary)
        if not p.keep(words, [Put(before), Put(after)], {before.id, after.id}):
            return False
        p.choose(after.id)
        p.told.tell(f"{words}; the second part is chosen.")
        return True

    def join(self) -> bool:
        """Join the chosen span with the next of its code; several chosen ones of a kind to one."""
        p = self._p
        if p.is_refused():
            return False
        rows = p.chosen_rows or tuple(
            filter(None, [span_at(p.markup.tags, TagKind.PHASE, p.playhead_us)])
        )
        spans = [row for row in rows if isinstance(row, Tag) and row.end_us is not None]
        if not spans or len(spans) != len(rows):
            return self._refuse("Choose a span to join with the next of its code, or several.")
        if len({tag.kind for tag in spans}) > 1:
            return self._refuse("Only spans of one kind are joined: phases, or idle spans.")
        if len(spans) == 1:
            following = self._following(spans[0])
            if following is None:
                name = row_words(spans[0], p.vocabulary)
                return self._refuse(f"After this one there is no further '{name}' to join with.")
            spans.append(following)
        spans = [p.stopped(tag) for tag in spans]
        return self._join(spans)

    def _join(self, spans: Sequence[Tag]) -> bool:
        p = self._p
        first = spans[0]
        comments = dict.fromkeys(tag.comment for tag in spans if tag.comment)
        whole = replace(
            first, end_us=max(tag.end_us or 0 for tag in spans), comment="; ".join(comments)
        )
        own = {tag.id for tag in spans}
        changes: list[Change] = [Drop(Tag, tag.id) for tag in spans[1:]]
        left = [tag for tag in p.markup.tags if tag.id not in own]
        changes.extend(reshaped_span(left, whole))
        name = row_words(first, p.vocabulary)
        words = (
            f"{len(spans)} spans joined as {name}, {tenths(whole.start_us)} to "
            f"{tenths(whole.end_us or 0)}"
        )
        if not p.keep(words, changes, own):
            return False
        p.choose(whole.id)
        return True

    def _following(self, tag: Tag) -> Tag | None:
        later = (
            other
            for other in self._p.markup.tags
            if other.kind is tag.kind
            and other.code == tag.code
            and other.end_us is not None
            and other.start_us >= (tag.end_us or 0)
        )
        return next(later, None)

    def move_whole(self, frames: int) -> bool:
        """Move all that is chosen by frames of the place of the one chosen last."""
        p = self._p
        rows = p.chosen_rows
        if not rows:
            return self._refuse("Choose a tag first: go through them with Down and Up.")
        if p.is_refused():
            return False
        lead = p.any_row(p.chosen) or rows[0]
        start_us = int(getattr(lead, "start_us", 0))
        return self.shift(p.stepped(start_us, frames) - start_us)

    def shift(self, by_us: int) -> bool:
        """Move all that is chosen by so many microseconds; neighbours yield."""
        p = self._p
        rows = p.chosen_rows
        if not rows or p.is_refused():
            return False
        by_us = p.bounded([p.far(row) for row in rows], by_us)
        if not by_us:
            return False
        moved = [shifted(p.standing(row), by_us) for row in rows]
        return p.reshape(rows_deed_words("moved to", moved, p.vocabulary), moved)

    # Code

    def ask_code(self) -> bool:
        """Let the next word that is pressed be the code of all chosen tags."""
        p = self._p
        tags = self._to_recode()
        if not tags:
            return self._refuse("Choose a phase, an event or an idle span to give another code to.")
        if p.is_refused():
            return False
        name = row_words(tags[0], p.vocabulary) if len(tags) == 1 else counted_rows(tags)
        self._set_prompt(f"Another code for {name}: press its key. Esc leaves it.")
        p.term_wanted = self._take_term
        p.told.tell(self.prompt)
        return True

    def _to_recode(self) -> list[Tag]:
        rows = self._p.chosen_rows
        return [r for r in rows if isinstance(r, Tag) and r.kind is not TagKind.HAND_OVER]

    def _take_term(self, term: Term) -> None:
        if self.recode(term):
            self._let_prompt_go()

    def recode(self, term: Term) -> bool:
        """Give all chosen tags another code of their kind."""
        p = self._p
        tags, kind = self._to_recode(), kind_of(term)
        if not tags or p.is_refused():
            return False
        other = next((tag for tag in tags if tag.kind is not kind), None)
        if other is not None:
            return self._refuse(
                f"{row_words(other, p.vocabulary)} is {KIND_WORDS[other.kind]}; {term.label} is "
                f"{KIND_WORDS[kind]}. Press a key of its own kind, or Esc."
            )
        fresh = [_recoded(tag, term, p.vocabulary) for tag in tags]
        changes = [Put(new) for new, tag in zip(fresh, tags, strict=True) if new != tag]
        if not changes:
            return True
        words = rows_deed_words(f"given the code {term.label} at", tags, p.vocabulary)
        return p.edit(words, *changes)

    def abort(self) -> bool:
        """Leave the codes as they are; False if none was asked for."""
        if not self.prompt:
            return False
        self._let_prompt_go()
        self._p.told.tell("The code is left as it is.")
        return True

    def _let_prompt_go(self) -> None:
        self._p.term_wanted = None
        self._set_prompt("")

    def _set_prompt(self, prompt: str) -> None:
        if prompt != self.prompt:
            self.prompt = prompt
            self.prompt_changed.tell(prompt)

    # Typed

    def room_words(self, tag: Tag) -> str:
        """Say which neighbours would make room for a tag of that shape; empty if none."""
        tags = self._p.markup.tags
        gave_way = yielded(tags, reshaped_span(tags, tag), {tag.id})
        return yield_words(gave_way, self._p.vocabulary, is_done=False) if gave_way else ""

    def retime(self, row_id: RowId, code: str, start_us: int, end_us: int | None) -> bool:
        """Give a tag or comment the code and times that were typed; neighbours yield."""
        p = self._p
        row = p.row(row_id)
        if row is None or p.is_refused():
            return False
        if isinstance(row, Tag):
            row = p.stopped(row)
            shaped: Row = replace(row, code=code, start_us=start_us, end_us=end_us)
        else:
            shaped = replace(row, start_us=start_us, end_us=end_us)
        if shaped == p.row(row_id):
            return True
        return p.reshape(deed_words("set by typing to", shaped, start_us, p.vocabulary), [shaped])

    def add(self, kind: TagKind, code: str, start_us: int, end_us: int | None) -> bool:
        """Make a tag of the times that were typed; neighbours yield, and it is chosen."""
        p = self._p
        if p.is_refused():
            return False
        term = next((t for t in p.vocabulary.terms if t.code == code), None)
        leaning, weight = (
            (term.leaning, term.weight) if isinstance(term, EventTerm) else (None, None)
        )
        tag = Tag(RowId(new_id()), p.session.id, kind, code, start_us, end_us, leaning, weight)
        words = deed_words("set by typing to", tag, start_us, p.vocabulary)
        if not p.reshape(words, [tag]):
            return False
        p.choose(tag.id)
        return True


def _recoded(tag: Tag, term: Term, vocabulary: Vocabulary) -> Tag:
    """A tag with another code; an event's leaning and weight go along unless set by hand."""
    if not isinstance(term, EventTerm):
        return replace(tag, code=term.code)
    old = next((e for e in vocabulary.events if e.code == tag.code), None)
    if old is not None and (tag.leaning, tag.weight) != (old.leaning, old.weight):
        return replace(tag, code=term.code)
    return replace(tag, code=term.code, leaning=term.leaning, weight=term.weight)
