"""Menus of the timeline: on what is tagged, on an empty place, on a stretch drawn out, on lanes."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QPointF
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import QMenu

from annotate.clock import US_PER_S
from annotate.marks import Mark
from annotate.tags import WEIGHTS, Comment, Tag, TagKind
from app.commands.table import actions
from app.review.lanes import ON_THE_RIBBON
from app.review.timeline_tagging import Term
from app.review.wording import row_words, tenths

if TYPE_CHECKING:
    from app.review.timeline import TimelineView

_HAND_OVER_KEY = "h"


class TermMenu(QMenu):
    """Words of the vocabulary; their keys work in it."""

    def __init__(
        self, title: str, parent: TimelineView, done: Callable[[Term | None], object]
    ) -> None:
        super().__init__(title, parent)
        self._done = done
        self._by_key: dict[str, QAction] = {}

    def offer(self, term: Term | None, label: str, key: str) -> None:
        """Put a word in; None is a hand-over."""
        entry = self.addAction(f"{label}\t{_key_words(key)}")
        entry.triggered.connect(partial(self._take, term))
        self._by_key[key] = entry

    def _take(self, term: Term | None, *_: object) -> None:
        self._done(term)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        entry = self._by_key.get(event.text())
        if entry is None:
            super().keyPressEvent(event)
            return
        self.close()
        entry.trigger()


def _key_words(key: str) -> str:
    return f"Shift+{key}" if key.isupper() else key.upper()


class TimelineMenus:
    """Makes the timeline's menus; deeds of the desk go by the ids of their actions."""

    def __init__(self, timeline: TimelineView) -> None:
        self._timeline, self._presenter = timeline, timeline.presenter
        self._known = {entry.id: entry for entry in actions()}
        self.shown: QMenu | None = None

    def show_at(self, position: QPointF, far: QPoint) -> None:
        """Show what can be done at a place of the timeline."""
        timeline = self._timeline
        if position.x() < timeline.lanes_area().area.x():
            self._pop_up(self.lanes_menu(), far)
            return
        row_id = timeline.row_at(position)
        row = self._presenter.any_row(row_id)
        if row is None or row_id is None:
            self._pop_up(self.place_menu(timeline.time_at(position)), far)
            return
        if row_id not in self._presenter.chosen_ids:
            self._presenter.choose(row_id)
        self._pop_up(self.row_menu(row), far)

    def _pop_up(self, menu: QMenu, far: QPoint) -> None:
        if self.shown is not None:
            self.shown.deleteLater()
        self.shown = menu
        menu.popup(far)

    # On something

    def row_menu(self, row: object) -> QMenu:
        """What can be done with what is chosen."""
        presenter, menu = self._presenter, QMenu(self._timeline)
        chosen = presenter.chosen_rows
        start_us = int(getattr(row, "start_us", 0))
        words = row_words(row, presenter.vocabulary)  # type: ignore[arg-type]
        among = f"{len(chosen)} chosen, among them " if len(chosen) > 1 else ""
        title = menu.addAction(f"{among}{words}, {tenths(start_us)}")
        title.setEnabled(False)
        menu.addSeparator()
        self._add_call(menu, "Go there", partial(self._timeline.wished.emit, start_us))
        self._add(menu, "loop", "Loop it, or go on")
        if presenter.can_edit:
            menu.addSeparator()
            if isinstance(row, Tag) and row.kind is not TagKind.EVENT:
                self._add(menu, "split", "Split at the playhead")
                self._add(menu, "join", "Join with the next")
            if isinstance(row, Tag):
                self._add(menu, "another-code", "Another code ...")
            self._add(menu, "type-times", "Type its times ...")
            if isinstance(row, Comment):
                self._add(menu, "change-comment", "Reword ...")
            if isinstance(row, Comment) or (isinstance(row, Tag) and row.kind is TagKind.EVENT):
                self._add(menu, "lean-keep")
                self._add(menu, "lean-change")
                weights = menu.addMenu("Weight")
                for weight in WEIGHTS:
                    self._add(weights, f"weight-{weight}")
            menu.addSeparator()
            what = (
                "mark"
                if isinstance(row, Mark)
                else "comment"
                if isinstance(row, Comment)
                else "tag"
            )
            self._add(
                menu, "remove", f"Remove the {what}" if len(chosen) < 2 else "Remove all chosen"
            )
        menu.addSeparator()
        self._add_sight(menu, start_us)
        return menu

    # On an empty place

    def place_menu(self, time_us: int) -> QMenu:
        """What can be begun at a moment."""
        menu, vocabulary = QMenu(self._timeline), self._presenter.vocabulary
        menu.addAction(f"At {tenths(time_us)}").setEnabled(False)
        menu.addSeparator()
        self._add_call(menu, "Go there", partial(self._timeline.wished.emit, time_us))
        if self._presenter.can_edit:
            retired = vocabulary.retired
            for title, terms in (
                ("A phase begins here", vocabulary.phases),
                ("An event here", vocabulary.events),
                ("Idle from here", vocabulary.idle_reasons),
            ):
                words = TermMenu(title, self._timeline, partial(self._tag_at, time_us))
                for term in terms:
                    if term.code not in retired:
                        words.offer(term, term.label, term.key)
                menu.addMenu(words)
            self._add_call(
                menu, "Hand-over from here", partial(self._timeline.tagging.tag_at, None, time_us)
            )
            self._add_call(menu, "Comment here ...", partial(self._comment_at, time_us))
            menu.addSeparator()
            self._add_call(menu, "Tag by dragging\tShift+drag", self._timeline.pointer.draw_next)
        menu.addSeparator()
        self._add_sight(menu, time_us)
        return menu

    def _tag_at(self, time_us: int, term: Term | None) -> None:
        self._timeline.tagging.tag_at(term, time_us)

    def _comment_at(self, time_us: int) -> None:
        """Go there, and begin to write once the frame is on the screen."""
        presenter, timeline = self._presenter, self._timeline
        if presenter.playhead_us <= time_us < presenter.until_us:
            timeline.wished_action.emit("write-comment")
            return

        def begin() -> None:
            presenter.playhead_moved.forget(begin)
            timeline.wished_action.emit("write-comment")

        presenter.playhead_moved.listen(begin)
        timeline.wished.emit(time_us)

    def _add_sight(self, menu: QMenu, time_us: int) -> None:
        timeline, centre_s = self._timeline, time_us / US_PER_S
        self._add_call(menu, "Closer here", partial(timeline.zoom, 4.0, centre_s))
        if timeline.is_zoomed:
            self._add_call(menu, "Farther here", partial(timeline.zoom, 0.25, centre_s))
            self._add(menu, "whole-case", "Whole case")
        if timeline.head_side():
            self._add_call(menu, "Show the playhead", timeline.show_playhead)

    # On a stretch

    def name_stretch(self, stretch: tuple[int, int], far: QPoint) -> None:
        """Ask what a stretch is that was drawn out; none is given with Esc."""
        timeline, vocabulary = self._timeline, self._presenter.vocabulary
        menu = TermMenu("", timeline, lambda term: timeline.tagging.tag_span(term, *stretch))
        seconds = (stretch[1] - stretch[0]) / US_PER_S
        menu.addAction(f"{seconds:.1f} s: what is it? Press its key.").setEnabled(False)
        for terms in (vocabulary.phases, vocabulary.idle_reasons):
            menu.addSeparator()
            for term in terms:
                if term.code not in vocabulary.retired:
                    menu.offer(term, term.label, term.key)
        menu.addSeparator()
        menu.offer(None, "Hand-over", _HAND_OVER_KEY)
        menu.aboutToHide.connect(timeline.pointer.forget_stretch)
        self._pop_up(menu, far)

    # On the lanes

    def show_lanes(self) -> None:
        """The list of lanes, beside their names."""
        menu = self.lanes_menu()
        self._pop_up(menu, self._timeline.mapToGlobal(QPoint(8, 8)))
        menu.setActiveAction(next(a for a in menu.actions() if a.isCheckable()))

    def lanes_menu(self) -> QMenu:
        """Every lane with a tick where it is shown."""
        timeline, menu = self._timeline, QMenu(self._timeline)
        menu.setToolTipsVisible(True)
        menu.addAction("Shown on the timeline").setEnabled(False)
        menu.addSeparator()
        markup = self._presenter.markup
        for lane_id, name, words in ON_THE_RIBBON:
            self._add_lane(menu, lane_id, name, words)
        placed = {each.lane.id for each in timeline.lanes_area().placed}
        for lane in timeline.lanes.known:
            name = lane.name
            if not lane.is_filled(markup):
                name += " (nothing there yet)"
            elif lane.id not in placed and lane.id not in timeline.folded:
                name += " (no room: pull the edge over the timeline up)"
            self._add_lane(menu, lane.id, name, lane.help)
        if timeline.folded:
            menu.addSeparator()
            self._add_call(menu, "Show all", partial(timeline.fold, frozenset()))
        return menu

    def _add_lane(self, menu: QMenu, lane_id: str, name: str, words: str) -> None:
        timeline = self._timeline
        entry = menu.addAction(name)
        entry.setToolTip(words)
        entry.setCheckable(True)
        entry.setChecked(lane_id not in timeline.folded)
        entry.triggered.connect(lambda *_: timeline.fold(frozenset(timeline.folded) ^ {lane_id}))

    # Entries

    def _add(self, menu: QMenu, action_id: str, label: str = "") -> None:
        """An action of the desk, with its key; none where the desk has no such action."""
        entry = self._known.get(action_id)
        if entry is not None:
            words = label or entry.label
            made = menu.addAction(f"{words}\t{entry.key}" if entry.key else words)
            made.setToolTip(entry.help)
            made.triggered.connect(lambda *_: self._timeline.wished_action.emit(action_id))

    def _add_call(self, menu: QMenu, label: str, deed: Callable[[], object]) -> None:
        menu.addAction(label).triggered.connect(lambda *_: deed())
