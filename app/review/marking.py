"""Marks of a session: drawing them, and changing what was drawn. No window.

Each deed is one edit with a sentence of its own. How a mark is to look is chosen before it is
drawn, or changed on the one that is chosen.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from annotate.clock import US_PER_S
from annotate.ids import RowId, new_id
from annotate.mark_motion import MarkPath, points_at
from annotate.marks import Mark, MarkKind, MarkLook, Point
from annotate.tags import LONGEST_TEXT
from app.marks.layout import marks_at
from app.notify import Notifier
from app.review.mark_points import DEFAULT_POINTS, held_points, moved, scaled
from app.review.presenter import ReviewPresenter
from app.review.wording import deed_words, row_words, rows_deed_words, tenths
from store import Drop, Put

SEEN_US = 3 * US_PER_S
"""For how long a mark is seen unless a loop says otherwise."""
_SHORTEST_US = 40_000
_CHOOSE = "Choose a mark first: click it on the picture or in the list of marks (F6)."
STEP = 0.01
"""Of the picture, by which a key moves a mark."""


class Marking:
    """Draws and changes the marks of a session.

    Parameters
    ----------
    presenter : ReviewPresenter

    Attributes
    ----------
    look, is_fading, is_following
        How the next mark is made.
    last_kept : RowId or None
        The mark that was drawn last, such as one that a comment may point to.
    paths : dict
        Where following marks go, as far as that is known.
    style_changed : Notifier
        Told when the next mark is to be made otherwise.
    """

    def __init__(self, presenter: ReviewPresenter) -> None:
        self.presenter = presenter
        self.look = MarkLook.CHALK
        self.is_fading = False
        self.is_following = False
        self.last_kept: RowId | None = None
        self.paths: dict[RowId, MarkPath] = {}
        self.style_changed: Notifier[[]] = Notifier()

    # What is there

    @property
    def marks(self) -> tuple[Mark, ...]:
        """All of the session, in order of time."""
        return self.presenter.markup.marks

    def here(self) -> tuple[Mark, ...]:
        """Those seen on the frame on the screen."""
        p = self.presenter
        return marks_at(p.markup.marks, p.playhead_us, p.until_us)

    @property
    def chosen(self) -> Mark | None:
        """The mark that is chosen, if it is one."""
        row = self.presenter.any_row(self.presenter.chosen)
        return row if isinstance(row, Mark) else None

    def points(self, mark: Mark) -> tuple[Point, ...]:
        """Where a mark is on the frame on the screen."""
        return points_at(mark, self.paths.get(mark.id), self.presenter.playhead_us)

    def is_here(self, mark: Mark) -> bool:
        """Whether a mark is seen on the frame on the screen."""
        return mark in self.here()

    # Drawing

    def span_from(self, begun_us: int) -> tuple[int, int]:
        """From when until when a mark begun then is seen: the loop's span, or some seconds."""
        p = self.presenter
        loop: tuple[int, int] | None = p.loop
        if loop is not None and loop[0] <= begun_us < loop[1]:
            return loop
        return begun_us, max(min(begun_us + SEEN_US, p.length_us), begun_us + 1)

    def drawn(
        self,
        kind: MarkKind,
        points: Iterable[Point],
        text: str = "",
        begun_us: int | None = None,
    ) -> Mark:
        """A mark as it would be kept now."""
        here_us = self.presenter.playhead_us
        start_us, end_us = self.span_from(here_us if begun_us is None else begun_us)
        return Mark(
            RowId(new_id()),
            self.presenter.session.id,
            kind,
            start_us,
            end_us,
            held_points(points),
            text.strip()[:LONGEST_TEXT],
            self.look,
            self.is_fading,
            self.is_following,
        )

    def keep(
        self,
        kind: MarkKind,
        points: Iterable[Point],
        text: str = "",
        begun_us: int | None = None,
    ) -> Mark | None:
        """Keep a new mark and choose it; None, with a sentence said, where it is refused.

        Parameters
        ----------
        begun_us : int, optional
            Case time at which drawing began, from which it is seen; the playhead if left out.
        """
        p = self.presenter
        if p.is_refused():
            return None
        if kind is MarkKind.TEXT and not text.strip():
            p.said.tell("Type the words first; then click where they are to stand.")
            return None
        mark = self.drawn(kind, points, text, begun_us)
        if mark.is_following and mark.start_us < p.playhead_us < mark.end_us:
            # in a loop, or while it plays: it was drawn on the tissue of this frame
            mark = replace(mark, anchors=((p.playhead_us, mark.points),))
        if not self._put("drawn at", mark, p.playhead_us if begun_us is None else begun_us):
            return None
        self.last_kept = mark.id
        p.choose(mark.id)
        return mark

    def keep_default(self, kind: MarkKind, text: str = "") -> Mark | None:
        """Keep a mark at the picture's middle."""
        return self.keep(kind, DEFAULT_POINTS[kind], text)

    # Changing

    def move_points(self, mark: Mark, points: Sequence[Point]) -> bool:
        """Put a mark elsewhere; a following one from the frame on the screen on, and before."""
        p = self.presenter
        if not self.is_here(mark):
            return self._refuse(
                f"This {mark.kind.value} is not on this frame; it is seen from "
                f"{tenths(mark.start_us)} to {tenths(mark.end_us)}."
            )
        held = held_points(points)
        if not mark.is_following or p.playhead_us <= mark.start_us:
            return self._put("moved at", replace(mark, points=held), p.playhead_us)
        others = [anchor for anchor in mark.anchors if not self._is_on_frame(anchor[0])]
        anchors = sorted([*others, (p.playhead_us, held)])
        return self._put("put right at", replace(mark, anchors=tuple(anchors)), p.playhead_us)

    def _is_on_frame(self, time_us: int) -> bool:
        return self.presenter.playhead_us <= time_us < self.presenter.until_us

    def nudge(self, right: float, down: float) -> bool:
        """Move the chosen mark by shares of the picture."""
        mark = self._chosen_or_say()
        return mark is not None and self.move_points(mark, moved(self.points(mark), right, down))

    def grow(self, factor: float) -> bool:
        """Make the chosen mark larger or smaller."""
        mark = self._chosen_or_say()
        if mark is None or len(mark.points) < 2:
            return False
        return self.move_points(mark, scaled(self.points(mark), mark.kind, factor))

    def set_look(self, look: MarkLook) -> None:
        """Colour and dash of the chosen mark, and of those drawn from now on."""
        self.look = look
        self._restyle("given another look at", look=look)

    def set_fading(self, *, is_fading: bool) -> None:
        """Let the chosen mark, and those drawn from now on, come and go by degrees."""
        self.is_fading = is_fading
        self._restyle("set to fade at" if is_fading else "set not to fade at", is_fading=is_fading)

    def set_following(self, *, is_following: bool) -> None:
        """Let the chosen mark, and those drawn from now on, go with the tissue."""
        self.is_following = is_following
        mark = self.chosen
        if mark is not None and not is_following and mark.is_following:
            stands = replace(mark, points=self.points(mark), is_following=False, anchors=())
            self._put("set to stand still at", stands, mark.start_us)
            self.style_changed.tell()
            return
        p = self.presenter
        if mark is not None and self.is_here(mark) and p.playhead_us > mark.start_us:
            # the tissue that is meant is what it stands on now
            anchors = ((p.playhead_us, mark.points),)
            self._restyle("set to follow at", is_following=True, anchors=anchors)
            return
        self._restyle("set to follow at", is_following=is_following)

    def set_text(self, text: str) -> bool:
        """Words of the chosen mark."""
        mark = self._chosen_or_say()
        words = text.strip()[:LONGEST_TEXT]
        if mark is None or words == mark.text:
            return False
        if mark.kind is MarkKind.TEXT and not words:
            return self._refuse("A text needs words; remove it with Delete instead.")
        return self._put("reworded at", replace(mark, text=words), mark.start_us)

    def set_edge_here(self, *, is_start: bool) -> bool:
        """Let the chosen mark be seen from, or until, the frame on the screen."""
        mark, p = self._chosen_or_say(), self.presenter
        if mark is None:
            return False
        if is_start:
            start_us = p.playhead_us
            if start_us > mark.end_us - _SHORTEST_US:
                return self._refuse("It would begin after its end: set its end first.")
            return self._put("set to start at", self._begun(mark, start_us), start_us)
        end_us = min(p.until_us, p.length_us)
        if end_us < mark.start_us + _SHORTEST_US:
            return self._refuse("It would end before its start: set its start first.")
        kept = tuple(anchor for anchor in mark.anchors if anchor[0] < end_us)
        return self._put("set to end at", replace(mark, end_us=end_us, anchors=kept), end_us)

    def _begun(self, mark: Mark, start_us: int) -> Mark:
        """A mark with another start; a following one stays on its tissue where that is known."""
        if not mark.is_following:
            return replace(mark, start_us=start_us)
        if start_us > mark.start_us:
            points = points_at(mark, self.paths.get(mark.id), start_us)
            anchors = tuple(anchor for anchor in mark.anchors if anchor[0] > start_us)
            return replace(mark, start_us=start_us, points=points, anchors=anchors)
        anchors = tuple(sorted({*mark.anchors, (mark.start_us, mark.points)}))
        return replace(mark, start_us=start_us, anchors=anchors)

    def remove_chosen(self) -> bool:
        """Remove all that is chosen; comments that point to a mark of it lose their link."""
        p = self.presenter
        gone = {row.id for row in p.chosen_rows if isinstance(row, Mark)}
        linked = [
            Put(replace(comment, mark_id=None))
            for comment in p.markup.comments
            if comment.mark_id in gone and comment.id not in p.chosen_ids
        ]
        if not linked:
            return p.remove_chosen()
        rows = p.chosen_rows
        words = rows_deed_words("removed at", rows, p.vocabulary)
        if not p.edit(words, *linked, *(Drop(type(row), row.id) for row in rows)):
            return False
        p.choose(None)
        p.said.tell(f"{words}; the comment on it stays. Ctrl+Z brings it back.")
        return True

    def name(self, mark: Mark) -> str:
        """What a list calls a mark."""
        words = row_words(mark, self.presenter.vocabulary)
        return f"{words[0].upper()}{words[1:]}"

    # How it is done

    def _restyle(self, deed: str, **change: object) -> None:
        mark = self.chosen
        if mark is not None:
            styled = replace(mark, **change)  # type: ignore[arg-type]
            if styled != mark:
                self._put(deed, styled, mark.start_us)
        self.style_changed.tell()

    def _put(self, deed: str, mark: Mark, at_us: int) -> bool:
        p = self.presenter
        if mark == p.any_row(mark.id):
            return False
        return p.edit(deed_words(deed, mark, at_us, p.vocabulary), Put(mark))

    def _chosen_or_say(self) -> Mark | None:
        if self.chosen is None:
            self._refuse(_CHOOSE)
        return self.chosen

    def _refuse(self, sentence: str) -> bool:
        self.presenter.said.tell(sentence)
        return False
