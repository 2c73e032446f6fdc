"""Machine values moved together with tags, comments and marks: the real screen, by keys."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from desk_driving import CONTROL, SHIFT, press, view_of
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from annotate.ids import RowId, new_id
from annotate.marks import Mark, MarkKind, Setting
from annotate.markup import Row
from annotate.tags import Comment, Tag, TagKind
from app.desk.window import DeskWindow
from app.review.changing import shifted
from app.review.presenter import ReviewPresenter
from store import Put

ALT = Qt.KeyboardModifier.AltModifier
LEFT, RIGHT = Qt.Key.Key_Left, Qt.Key.Key_Right


class Chosen:
    """Two spans of values that touch, a phase, an event, a comment and a mark, all chosen."""

    def __init__(self, desk: DeskWindow, times: list[int]) -> None:
        self.desk, self.times = desk, times
        self.presenter: ReviewPresenter = view_of(desk).presenter
        session = self.presenter.session.id
        at = times

        def new() -> RowId:
            return RowId(new_id())

        self.first = Setting(new(), session, at[10], at[20], vacuum_mmhg=80.0)
        self.second = Setting(new(), session, at[20], at[30], vacuum_mmhg=350.0)
        self.third = Setting(new(), session, at[30], at[40], vacuum_mmhg=500.0)
        self.phase = Tag(new(), session, TagKind.PHASE, "sculpt", at[10], at[30])
        self.event = Tag(new(), session, TagKind.EVENT, "good-move", at[12])
        self.comment = Comment(new(), session, "rest the hand", at[14])
        self.mark = Mark(
            new(), session, MarkKind.RING, at[15], at[25], ((0.4, 0.4), (0.6, 0.6)), anchors=()
        )
        rows: list[Row] = [
            self.first, self.second, self.third, self.phase, self.event, self.comment, self.mark,
        ]  # fmt: skip
        assert self.presenter.edit("put", *(Put(row) for row in rows))
        together = (self.first, self.second, self.phase, self.event, self.comment, self.mark)
        self.presenter.choose(self.first.id, too=[row.id for row in together])

    def frames(self, row: Row) -> tuple[int, int | None]:
        """Numbers of the frames at which a row begins and ends now."""
        now = self.presenter.any_row(row.id)
        assert now is not None
        start_us, end_us = now.start_us, now.end_us  # type: ignore[union-attr]
        return self.times.index(start_us), None if end_us is None else self.times.index(end_us)

    def settings(self) -> list[tuple[int, int]]:
        rows = self.presenter.markup.settings
        assert all(a.end_us <= b.start_us for a, b in pairwise(rows))  # one set at a moment
        return [(self.times.index(r.start_us), self.times.index(r.end_us)) for r in rows]

    def edits(self) -> int:
        return len(self.presenter.store.history(self.presenter.session.id))


@pytest.fixture
def chosen(reviewing: DeskWindow, qtbot: QtBot) -> Chosen:
    view = view_of(reviewing)
    qtbot.waitUntil(lambda: view.player.n_frames == 210, timeout=20_000)
    feed = view.player.feed
    assert feed is not None
    view.go_to_number(35)
    qtbot.waitUntil(lambda: view.picture.shown_number == 35, timeout=20_000)
    view.side.leaves.turn_to("machine")
    view.picture.setFocus()
    return Chosen(reviewing, [feed.time_of(n) for n in range(120)])


def test_ends_are_nudged_together_and_what_comes_after_makes_room(chosen: Chosen) -> None:
    before = chosen.edits()
    press(chosen.desk, RIGHT, ALT | SHIFT)
    assert chosen.settings() == [(10, 21), (21, 31), (31, 40)]  # the later begins later
    assert chosen.frames(chosen.phase) == (10, 31)
    assert chosen.frames(chosen.event) == (13, None)
    assert chosen.frames(chosen.comment) == (15, None)
    assert chosen.frames(chosen.mark) == (15, 26)
    assert chosen.edits() == before + 1
    press(chosen.desk, Qt.Key.Key_Z, CONTROL)
    assert chosen.settings() == [(10, 20), (20, 30), (30, 40)]
    assert chosen.frames(chosen.phase) == (10, 30)


def test_starts_are_nudged_together_and_never_lie_over_each_other(chosen: Chosen) -> None:
    press(chosen.desk, LEFT, ALT)
    assert chosen.settings() == [(9, 19), (19, 30), (30, 40)]
    assert chosen.frames(chosen.phase) == (9, 30)
    assert chosen.frames(chosen.mark) == (14, 25)
    press(chosen.desk, RIGHT, ALT)
    press(chosen.desk, RIGHT, ALT)
    assert chosen.settings() == [(11, 19), (21, 30), (30, 40)]


def test_all_move_whole_and_the_values_after_them_make_room(chosen: Chosen) -> None:
    at = chosen.times
    by_us = at[11] - at[10]  # a step of the one chosen last; all move by it
    press(chosen.desk, Qt.Key.Key_Period, CONTROL)
    moved = (chosen.first, chosen.second, chosen.phase, chosen.event, chosen.comment, chosen.mark)
    for row in moved:
        now = chosen.presenter.any_row(row.id)
        assert now == shifted(row, by_us)
    third = chosen.presenter.any_row(chosen.third.id)
    assert third == replace(chosen.third, start_us=at[30] + by_us)
    press(chosen.desk, Qt.Key.Key_Z, CONTROL)
    assert chosen.settings() == [(10, 20), (20, 30), (30, 40)]
    leaf = view_of(chosen.desk).side.machine
    assert leaf.spans.count() == 3


def test_values_that_run_move_as_far_as_they_have_come_and_stop(
    chosen: Chosen, qtbot: QtBot
) -> None:
    view, presenter = view_of(chosen.desk), chosen.presenter
    view.go_to_number(60)
    qtbot.waitUntil(lambda: view.picture.shown_number == 60, timeout=20_000)
    values = view.side.machine.values
    assert values.begin({"vacuum_mmhg": 30.0})
    running = presenter.markup.settings[-1]
    view.go_to_number(70)
    qtbot.waitUntil(lambda: view.picture.shown_number == 70, timeout=20_000)
    presenter.choose(running.id, too=[running.id, chosen.event.id])
    press(chosen.desk, Qt.Key.Key_Period, CONTROL)
    at = chosen.times
    moved = shifted(replace(running, end_us=at[71]), at[61] - at[60])
    assert presenter.any_row(running.id) == moved
    assert not values.has_running
    press(chosen.desk, LEFT, ALT | SHIFT)
    assert chosen.frames(running) == (61, 72)


def test_a_span_too_short_for_its_ultrasound_is_refused_in_a_sentence(chosen: Chosen) -> None:
    presenter = chosen.presenter
    at = chosen.times
    long_s = (at[20] - at[10]) / 1e6 + 0.999
    values = view_of(chosen.desk).side.machine.values
    assert values.change(chosen.first.id, {"energy_s": long_s})
    said: list[str] = []
    presenter.said.listen(said.append)
    presenter.choose(chosen.first.id, too=[chosen.first.id, chosen.event.id])
    press(chosen.desk, RIGHT, ALT)
    assert chosen.settings()[0] == (10, 20)
    assert any("ltrasound cannot have been on" in each for each in said), said


def test_an_edge_goes_to_the_playhead_for_the_values_chosen_last(chosen: Chosen) -> None:
    chosen.presenter.choose(chosen.third.id, too=[chosen.third.id, chosen.event.id])
    press(chosen.desk, RIGHT, CONTROL)
    assert chosen.settings()[2] == (30, 35)
    assert chosen.frames(chosen.event) == (12, None)
