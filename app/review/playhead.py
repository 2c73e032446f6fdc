"""Where the viewer is, and what runs on with the playhead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from annotate.case import Case, ReviewSession
from annotate.ids import RowId
from annotate.markup import Markup
from annotate.tags import Comment, Tag, TagKind
from annotate.vocabulary import Vocabulary
from app.notify import Notifier
from app.review.kept_session import KeptSession
from app.review.spans import reshaped_span
from app.review.wording import deed_words
from metrics.figures import SessionFigures
from metrics.from_tags import figures
from store import Drop, Store

SPEEDS = (0.1, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 4.0, 8.0, 16.0)


class Playhead(KeptSession):
    """A session seen from a moment of its case.

    A started span is kept at once, as running on to the next of its kind. It is shown as far as
    the viewer has come with it, and ends there when the viewer leaves it.

    Attributes
    ----------
    playhead_us, until_us : int
        Case time from which and until which the frame on the screen is the one to show.
    running : dict
        Spans that were started and not ended, by kind.
    playhead_moved, play_changed : Notifier
        What a view listens to, beside what the session tells.
    leaving : Notifier
        Told before running spans end because the session is left, signed or handed back.
    """

    def __init__(
        self,
        store: Store,
        case: Case,
        session: ReviewSession,
        vocabulary: Vocabulary,
        by: str = "",
    ) -> None:
        super().__init__(store, case, session, by)
        self.vocabulary = vocabulary
        self.playhead_us = 0
        self.until_us = 1
        self.is_playing = False
        self.speed = 1.0
        self.running: dict[TagKind, RowId] = {}
        self._reached_us: dict[TagKind, int] = {}
        self.playhead_moved: Notifier[[]] = Notifier()
        self.play_changed: Notifier[[]] = Notifier()
        self.leaving: Notifier[[]] = Notifier()

    @property
    def length_us(self) -> int:
        """Length of the case, microseconds."""
        return self.case.length_us

    # What is shown

    def shown_markup(self) -> Markup:
        """The markup with running spans drawn as far as the viewer has come."""
        shown = self.running_shown()
        return self.markup.with_rows(shown, ()) if shown else self.markup

    def running_shown(self) -> tuple[Tag, ...]:
        """The running spans, ending where the viewer has come to with them."""
        found = (self.running_tag(kind) for kind in self.running)
        return tuple(self._as_shown(tag) for tag in found if tag is not None)

    def figures(self) -> SessionFigures:
        """Figures of the session as shown."""
        return figures(self.shown_markup().tags, self.vocabulary)

    def _as_shown(self, tag: Tag) -> Tag:
        if self.running.get(tag.kind) != tag.id or tag.end_us is None:
            return tag
        reached_us = self._reached_us.get(tag.kind, tag.start_us)
        return replace(tag, end_us=max(min(reached_us, tag.end_us), tag.start_us + 1))

    # Travelling

    def move_playhead(self, time_us: int, until_us: int | None = None) -> None:
        """Say which frame is on the screen now, by the time it is shown from and until."""
        self.playhead_us = max(0, min(time_us, self.length_us))
        self.until_us = max(until_us or 0, self.playhead_us + 1)
        for kind in tuple(self.running):
            self._follow(kind)
        self.playhead_moved.tell()

    def _follow(self, kind: TagKind) -> None:
        """Take a running span along; one that the viewer leaves behind ends where they got to."""
        tag = self.running_tag(kind)
        if tag is None or tag.end_us is None or self.playhead_us >= tag.end_us:
            self._let_go(kind)
        elif self.playhead_us < tag.start_us:
            self.end_span(tag, self._reached_us.get(kind, tag.start_us))
        else:
            self._reached_us[kind] = max(self._reached_us.get(kind, 0), self.playhead_us)

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

    def neighbour(self, direction: int) -> Tag | Comment | None:
        """The next (1) or the last (-1) tag or comment, seen from the chosen one or the playhead.

        Several that begin within the frame on the screen are gone through one by one.
        """
        rows = sorted(self.rows, key=lambda row: (row.start_us, row.id))
        place = next((i for i, row in enumerate(rows) if row.id == self.chosen), None)
        if place is not None and self._is_on_screen(rows[place]):
            place += direction
            return rows[place] if 0 <= place < len(rows) else None
        return self._beyond(rows, direction)

    def _is_on_screen(self, row: Tag | Comment) -> bool:
        return self.playhead_us <= row.start_us < self.until_us

    def _beyond(self, rows: Sequence[Tag | Comment], direction: int) -> Tag | Comment | None:
        if direction > 0:
            return next((row for row in rows if row.start_us >= self.playhead_us), None)
        return next((row for row in reversed(rows) if row.start_us < self.playhead_us), None)

    # Running spans

    def running_tag(self, kind: TagKind) -> Tag | None:
        """The span of that kind which was started and not ended."""
        row = self.row(self.running.get(kind))
        return row if isinstance(row, Tag) else None

    def run_with(self, tag: Tag) -> None:
        """Take a span along from now on."""
        self.running[tag.kind] = tag.id
        self._reached_us[tag.kind] = tag.start_us
        self.markup_changed.tell()

    def end_span(self, tag: Tag, end_us: int) -> bool:
        """End a span; one that ends where it begins is taken back."""
        self.running.pop(tag.kind, None)
        self._reached_us.pop(tag.kind, None)
        if end_us <= tag.start_us:
            words = deed_words("taken back at", tag, tag.start_us, self.vocabulary)
            return self.edit(words, Drop(Tag, tag.id))
        words = deed_words("ended at", tag, end_us, self.vocabulary)
        return self.edit(words, *reshaped_span(self.markup.tags, replace(tag, end_us=end_us)))

    def stopped(self, tag: Tag) -> Tag:
        """A span as it is shown; one that runs does so no longer."""
        shown = self._as_shown(tag)
        if self.running.get(tag.kind) == tag.id:
            self.running.pop(tag.kind)
            self._reached_us.pop(tag.kind, None)
        return shown

    def end_running(self) -> None:
        """End every running span where the viewer has got to, before the session is left."""
        self.leaving.tell()
        for kind in tuple(self.running):
            tag = self.running_tag(kind)
            if tag is not None:
                self.end_span(tag, self._reached_us.get(kind, tag.start_us))

    def forget_running(self) -> None:
        """Let every running span stand as it is kept."""
        self.running.clear()
        self._reached_us.clear()

    def _let_go(self, kind: TagKind) -> None:
        """A running span has met the next one of its kind, or is gone: it stands as kept."""
        self.running.pop(kind, None)
        self._reached_us.pop(kind, None)
        self.markup_changed.tell()
