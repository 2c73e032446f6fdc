"""Changes to what is there: edges, places, weights, removal; of one row or of all that are chosen.

No window. Each deed is one edit; neighbours of the same kind yield, and it is said which did.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from annotate.case import Case, ReviewSession
from annotate.errors import UserFacingError
from annotate.ids import RowId
from annotate.marks import Mark, Setting
from annotate.markup import Row
from annotate.setting_values import checked
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary import Vocabulary
from app.notify import Notifier
from app.review.frame_steps import Steps
from app.review.looping import LoopingPlayhead
from app.review.setting_spans import put_settings
from app.review.spans import Change, reshaped_spans, yielded
from app.review.wording import deed_words, row_words, rows_deed_words, tenths, yield_words
from store import Drop, Put, Store

SHORTEST_US = 1000
_NOTHING_CHOSEN = "Choose a tag first: go through them with Down and Up, or click one."
_WITHOUT_CLIP_US = 100_000
"""A step where there is no picture: the tenth of a second that times are shown to."""


class Changing(LoopingPlayhead):
    """A session whose rows are changed.

    Attributes
    ----------
    frame_steps : callable or None
        From a case time to the one some frames on, by the clip's frames; the screen gives it.
    setting_as_shown : callable
        Machine values that run, as far as the viewer has come with them; who takes them along
        gives it.
    told : Notifier
        Carries a sentence on what was done, beside what `said` refuses.
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
        self.frame_steps: Steps | None = None
        self.setting_as_shown: Callable[[Setting], Setting] = lambda setting: setting
        self.told: Notifier[[str]] = Notifier()

    def stepped(self, time_us: int, frames: int) -> int:
        """The time some frames on or back, within the case."""
        if self.frame_steps is not None:
            return self.frame_steps(time_us, frames)
        shown_us = self.until_us - self.playhead_us
        step_us = shown_us if shown_us > 1 else _WITHOUT_CLIP_US
        return max(0, min(time_us + frames * step_us, self.length_us))

    def as_far(self, tag: Tag) -> Tag:
        """A span as far as the viewer has come with it; it runs on, if it does."""
        return self._as_shown(tag)

    def far(self, row: Row) -> Row:
        """A row as far as the viewer has come with it."""
        if isinstance(row, Setting):
            return self.setting_as_shown(row)
        return self.as_far(row) if isinstance(row, Tag) else row

    def standing(self, row: Row) -> Row:
        """The same, and it does not run on."""
        return self.stopped(row) if isinstance(row, Tag) else self.far(row)

    def reshape(self, words: str, shaped: Sequence[Row], *, earlier_yields: bool = True) -> bool:
        """Keep rows in their new shape as one edit; says which neighbours yielded."""
        try:
            for row in shaped:
                if isinstance(row, Setting):
                    checked(row)
        except UserFacingError as trouble:
            self.said.tell(str(trouble))
            return False
        changes = self.changes_to(shaped, earlier_yields=earlier_yields)
        return self.keep(words, changes, {row.id for row in shaped if isinstance(row, Tag)})

    def changes_to(self, shaped: Sequence[Row], *, earlier_yields: bool = True) -> list[Change]:
        """What rows in a new shape change: themselves, and what yields to them."""
        tags = [row for row in shaped if isinstance(row, Tag)]
        settings = [row for row in shaped if isinstance(row, Setting)]
        return [
            *(Put(row) for row in shaped if not isinstance(row, Tag | Setting)),
            *reshaped_spans(self.markup.tags, tags, earlier_yields=earlier_yields),
            *put_settings(self.markup.settings, settings, earlier_yields=earlier_yields),
        ]

    def keep(self, words: str, changes: Sequence[Change], own: set[RowId]) -> bool:
        """Keep changes as one edit; says which rows other than `own` yielded."""
        if not changes:
            return False
        gave_way = yielded(self.markup.tags, changes, own)
        if not self.edit(words, *changes):
            return False
        if gave_way:
            self.told.tell(yield_words(gave_way, self.vocabulary))
        return True

    # Edges and places

    def move_edge(self, row_id: RowId, is_start: bool, time_us: int) -> bool:
        """Set the start or the end of a span; its neighbours of the same kind yield."""
        tag = self.row(row_id)
        if not isinstance(tag, Tag) or tag.end_us is None or self.is_refused():
            return False
        shaped = self.edge_preview(self.stopped(tag), is_start, time_us)
        if shaped == self.row(row_id):
            return False
        edge, at_us = ("start", shaped.start_us) if is_start else ("end", shaped.end_us or 0)
        words = deed_words(f"set to {edge} at", tag, at_us, self.vocabulary)
        return self.reshape(words, [shaped])

    def edge_preview(self, tag: Tag, is_start: bool, time_us: int) -> Tag:
        """The tag as it would be with an edge elsewhere; never turned inside out."""
        assert tag.end_us is not None
        if is_start:
            return replace(tag, start_us=max(0, min(time_us, tag.end_us - SHORTEST_US)))
        end_us = max(tag.start_us + SHORTEST_US, min(time_us, self.length_us))
        return replace(tag, end_us=end_us)

    def set_chosen_here(self, *, is_start: bool) -> bool:
        """Let the chosen span start or end at the playhead; move a chosen event or comment here."""
        row = self.row(self.chosen)
        if row is None:
            self.said.tell(_NOTHING_CHOSEN)
            return False
        if isinstance(row, Tag) and row.kind is not TagKind.EVENT:
            return self.move_edge(row.id, is_start, self.playhead_us)
        return self._move_row(row, self.playhead_us)

    def nudge_chosen(self, *, is_start: bool, frames: int) -> bool:
        """Move an edge of each chosen span, and each chosen event or comment, by frames."""
        rows = self.chosen_rows
        if not rows or self.is_refused():
            return False
        if len(rows) == 1 and isinstance(rows[0], Tag) and rows[0].kind is not TagKind.EVENT:
            edge_us = rows[0].start_us if is_start else self.stopped(rows[0]).end_us or 0
            return self.move_edge(rows[0].id, is_start, self.stepped(edge_us, frames))
        shaped = [self._nudged(row, is_start, frames) for row in rows]
        changed = [new for new, row in zip(shaped, rows, strict=True) if new != row]
        if not changed:
            return False
        if len(rows) == 1:
            at_us = _start_of(changed[0])
            words = deed_words("moved to", rows[0], at_us, self.vocabulary)
        else:
            what = "start" if is_start else "end"
            words = rows_deed_words(f"{what}s nudged from", rows, self.vocabulary)
        return self.reshape(words, changed, earlier_yields=is_start)

    def _nudged(self, row: Row, is_start: bool, frames: int) -> Row:
        if isinstance(row, Tag) and row.kind is not TagKind.EVENT:
            tag = self.stopped(row)
            edge_us = tag.start_us if is_start else tag.end_us or 0
            return self.edge_preview(tag, is_start, self.stepped(edge_us, frames))
        row = self.standing(row)
        if isinstance(row, Mark | Setting):
            if is_start:
                start_us = min(self.stepped(row.start_us, frames), row.end_us - SHORTEST_US)
                return replace(row, start_us=max(start_us, 0))
            end_us = max(self.stepped(row.end_us, frames), row.start_us + SHORTEST_US)
            return replace(row, end_us=end_us)
        start_us = _start_of(row)
        return shifted(row, self.bounded([row], self.stepped(start_us, frames) - start_us))

    def bounded(self, rows: Sequence[Row], by_us: int) -> int:
        """As much of a shift as leaves all of the rows within the case."""
        least = -min(_start_of(row) for row in rows)
        most = self.length_us - max(_end_of(row) for row in rows)
        return max(least, min(by_us, max(most, least, 0)))

    def _move_row(self, row: Tag | Comment, start_us: int) -> bool:
        moved = shifted(row, self.bounded([row], start_us - row.start_us))
        if moved == row:
            return False
        return self.edit(deed_words("moved to", row, start_us, self.vocabulary), Put(moved))

    # Weights, removal

    def weigh_chosen(self, *, leaning: Leaning | None = None, weight: int | None = None) -> bool:
        """Change the leaning or the weight of the chosen events and comments."""
        rows = [row for row in self.chosen_rows if _can_weigh(row)]
        pairs = [
            (row, replace(row, leaning=leaning or row.leaning, weight=weight or row.weight))
            for row in rows
            if isinstance(row, Tag | Comment)
        ]
        changes = [Put(new) for row, new in pairs if new != row]
        if not changes:
            return False
        return self.edit(rows_deed_words("weighed anew at", rows, self.vocabulary), *changes)

    def remove_chosen(self) -> bool:
        """Remove all that is chosen, and say what it was."""
        rows = self.chosen_rows
        if not rows:
            return False
        words = rows_deed_words("removed at", rows, self.vocabulary)
        if not self.edit(words, *(Drop(type(row), row.id) for row in rows)):
            return False
        self.choose(None)
        self.said.tell(f"{words}. Ctrl+Z brings {'it' if len(rows) == 1 else 'them'} back.")
        return True

    def place_words(self) -> str:
        """Say what is chosen and where, for the line under the pad."""
        rows = self.chosen_rows
        if not rows:
            return ""
        start_us, end_us = min(map(_start_of, rows)), max(map(_end_of, rows))
        span = tenths(start_us)
        if end_us > start_us:
            span += f" to {tenths(end_us)}"
        if len(rows) == 1:
            return f"{span}: {row_words(rows[0], self.vocabulary)}"
        names = dict.fromkeys(row_words(row, self.vocabulary) for row in rows[:12])
        return f"{len(rows)} chosen: {', '.join(names)} ({span})"


def shifted(row: Row, by_us: int) -> Row:
    """A row moved whole in time; one that has no span stays."""
    if not isinstance(row, Tag | Comment | Mark | Setting):
        return row
    end_us = None if row.end_us is None else row.end_us + by_us
    moved = replace(row, start_us=row.start_us + by_us, end_us=end_us)  # type: ignore[arg-type]
    if isinstance(moved, Mark):
        anchors = tuple((at_us + by_us, points) for at_us, points in moved.anchors)
        return replace(moved, anchors=anchors)
    return moved


def _can_weigh(row: Row) -> bool:
    return isinstance(row, Comment) or (isinstance(row, Tag) and row.kind is TagKind.EVENT)


def _start_of(row: Row) -> int:
    return int(getattr(row, "start_us", 0))


def _end_of(row: Row) -> int:
    return int(getattr(row, "end_us", None) or _start_of(row))
