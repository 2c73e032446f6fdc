"""What the review screen knows and decides; it has no window.

Every change goes to the store as one edit and is kept before anything shows it. Listeners are
told what changed and look again.
"""

from __future__ import annotations

from dataclasses import replace

from annotate.case import Case, ReviewSession
from annotate.ids import RowId, new_id
from annotate.markup import Markup
from annotate.tags import LONGEST_TEXT, Comment, Leaning, Tag, TagKind
from annotate.vocabulary import EventTerm, IdleTerm, PhaseTerm, Vocabulary
from app.notify import Notifier
from app.review.kept_session import KeptSession
from app.review.spans import fresh_tag, opened_span, reshaped_span, span_at
from metrics.figures import SessionFigures
from metrics.from_tags import figures
from store import Drop, Put, Store

SPEEDS = (0.1, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 4.0, 8.0, 16.0)
US_PER_S = 1_000_000
HAND_OVER_CODE = "attending"


class ReviewPresenter(KeptSession):
    """One reviewer's session on one case.

    Parameters
    ----------
    reaction_s : float
        How far an event tagged while playing is set back, seconds of the viewer's time.

    Attributes
    ----------
    playhead_moved, play_changed : Notifier
        What a view listens to, beside what the session tells.
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
        super().__init__(store, case, session, by)
        self.vocabulary = vocabulary
        self.reaction_s = reaction_s
        self.playhead_us = 0
        self.is_playing = False
        self.speed = 1.0
        self.running: dict[TagKind, RowId] = {}
        self.playhead_moved: Notifier[[]] = Notifier()
        self.play_changed: Notifier[[]] = Notifier()

    # What there is

    @property
    def length_us(self) -> int:
        """Length of the case, microseconds."""
        return self.case.length_us

    def shown_markup(self) -> Markup:
        """The markup with running spans drawn as far as the playhead has come."""
        return replace(self.markup, tags=tuple(self._as_shown(tag) for tag in self.markup.tags))

    def figures(self) -> SessionFigures:
        """Figures of the session as shown."""
        return figures(self.shown_markup().tags, self.vocabulary)

    def running_tag(self, kind: TagKind) -> Tag | None:
        """The span of that kind which was started and not ended."""
        row = self.row(self.running.get(kind))
        return row if isinstance(row, Tag) else None

    def _as_shown(self, tag: Tag) -> Tag:
        if self.running.get(tag.kind) != tag.id or tag.end_us is None:
            return tag
        return replace(tag, end_us=max(min(self.playhead_us, tag.end_us), tag.start_us + 1))

    # Travelling

    def move_playhead(self, time_us: int) -> None:
        """Say which moment is on the screen now."""
        self.playhead_us = max(0, min(time_us, self.length_us))
        for kind, row_id in tuple(self.running.items()):
            tag = self.row(row_id)
            if tag is None or not tag.start_us <= self.playhead_us < (tag.end_us or 0):
                self._let_go(kind)
        self.playhead_moved.tell()

    def set_playing(self, is_playing: bool) -> None:
        """Say that the clip runs or stands."""
        if is_playing != self.is_playing:
            self.is_playing = is_playing
            self.play_changed.tell()

    def set_speed(self, speed: float) -> None:
        """Choose the speed."""
        self.speed = speed
        self.play_changed.tell()

    def next_speed(self, step: int) -> float:
        """The speed one or more steps on or back."""
        place = SPEEDS.index(self.speed) if self.speed in SPEEDS else SPEEDS.index(1.0)
        return SPEEDS[max(0, min(place + step, len(SPEEDS) - 1))]

    def neighbour_us(self, direction: int) -> int | None:
        """Where the next (1) or the last (-1) tag or comment begins, seen from the playhead."""
        starts = {row.start_us for row in self.rows}
        if direction > 0:
            return min((s for s in starts if s > self.playhead_us), default=None)
        return max((s for s in starts if s < self.playhead_us), default=None)

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
        running = self.running_tag(kind)
        if running is not None and running.code == code:
            self._end(running)
            return
        if running is None:
            under = span_at(self.markup.tags, kind, self.playhead_us)
            if under is not None and under.code == code and under.start_us < self.playhead_us:
                self._end(under)
                return
        self._start(kind, code, running)

    def _start(self, kind: TagKind, code: str, running: Tag | None) -> None:
        if self.playhead_us >= self.length_us:
            self.said.tell("Nothing can start at the very end of the case.")
            return
        fresh = fresh_tag(self.session.id, kind, code, self.playhead_us)
        kept, changes = opened_span(
            self.markup.tags, fresh, self.length_us, running.id if running else None
        )
        if self.edit(f"start {kind}", *changes):
            self.running[kind] = kept.id
            self.choose(kept.id)
            self.markup_changed.tell()

    def _end(self, tag: Tag) -> None:
        end_us = self.playhead_us
        self.running.pop(tag.kind, None)
        if end_us <= tag.start_us:
            self.edit(f"take back {tag.kind}", Drop(Tag, tag.id))
        elif not self.edit(
            f"end {tag.kind}", *reshaped_span(self.markup.tags, replace(tag, end_us=end_us))
        ):
            self.running[tag.kind] = tag.id

    def _let_go(self, kind: TagKind) -> None:
        """A running span met the next one, or the viewer went elsewhere: it stands as kept."""
        self.running.pop(kind, None)
        self.markup_changed.tell()

    def end_running(self) -> None:
        """End every running span at the playhead, before the session is left."""
        for kind in tuple(self.running):
            tag = self.running_tag(kind)
            if tag is not None:
                self._end(tag)

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
        if self.edit("drop event", Put(tag)):
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
            return self.edit("change comment", Put(replace(old, text=words, leaning=leaning)))
        phase = span_at(self.markup.tags, TagKind.PHASE, begun_us)
        comment = Comment(
            RowId(new_id()),
            self.session.id,
            words,
            begun_us,
            leaning=leaning,
            phase=phase.code if phase else "",
        )
        return self.edit("write comment", Put(comment))

    # Changing what is there

    def move_edge(self, row_id: RowId, is_start: bool, time_us: int) -> bool:
        """Set the start or the end of a span; its neighbours of the same kind yield."""
        tag = self.row(row_id)
        if not isinstance(tag, Tag) or tag.end_us is None:
            return False
        shaped = self.edge_preview(tag, is_start, time_us)
        if shaped == tag:
            return False
        return self.edit("move edge", *reshaped_span(self.markup.tags, shaped))

    def edge_preview(self, tag: Tag, is_start: bool, time_us: int) -> Tag:
        """The tag as it would be with an edge elsewhere; never turned inside out."""
        assert tag.end_us is not None
        if is_start:
            return replace(tag, start_us=max(0, min(time_us, tag.end_us - 1000)))
        return replace(tag, end_us=max(tag.start_us + 1000, min(time_us, self.length_us)))

    def remove_chosen(self) -> bool:
        """Remove the chosen tag or comment."""
        row = self.row(self.chosen)
        if row is None:
            return False
        kept = self.edit("remove", Drop(type(row), row.id))
        if kept:
            self.choose(None)
        return kept

    def forget_running(self) -> None:
        """Let every running span stand as it is kept."""
        self.running.clear()

    def sign(self) -> bool:
        """End what runs and sign the session; it takes no more edits."""
        if not self.is_refused():
            self.end_running()
        return super().sign()
