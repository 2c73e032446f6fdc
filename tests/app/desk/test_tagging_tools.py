"""Reshaping, the list and typed times in a real window, by keys."""

from __future__ import annotations

from itertools import pairwise

import pytest
from desk_driving import CONTROL, SHIFT, press, view_of
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from annotate.ids import RowId, new_id
from annotate.people import Reviewer
from annotate.tags import Comment, Tag, TagKind
from app.desk.window import DeskWindow
from app.review.begin_with import BeginWithDialog
from app.review.presenter import ReviewPresenter
from store import Put, Store

S = 1_000_000
K = Qt.Key


def put(presenter: ReviewPresenter, code: str, start_us: int, end_us: int | None = None) -> Tag:
    kind = TagKind.EVENT if end_us is None else TagKind.PHASE
    tag = Tag(RowId(new_id()), presenter.session.id, kind, code, start_us, end_us)
    assert presenter.edit("put", Put(tag))
    return tag


def phases(presenter: ReviewPresenter) -> list[tuple[str, int, int | None]]:
    return [
        (tag.code, tag.start_us, tag.end_us)
        for tag in presenter.markup.tags
        if tag.kind is TagKind.PHASE
    ]


def stand_on(desk: DeskWindow, qtbot: QtBot, number: int) -> int:
    """Go to a frame; returns its time."""
    view = view_of(desk)
    view.go_to_number(number)
    qtbot.waitUntil(lambda: view.picture.shown_number == number, timeout=20_000)
    return view.presenter.playhead_us


def test_steps_follow_the_frames_of_a_clip_of_variable_rate(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    feed = view.player.feed
    assert feed is not None
    qtbot.waitUntil(lambda: view.player.n_frames == 210, timeout=20_000)
    times = [feed.time_of(n) for n in range(100, 108)]
    assert len({b - a for a, b in pairwise(times)}) > 2  # no constant would do
    tag = put(view.presenter, "good-move", times[0])
    view.presenter.choose(tag.id)
    for expected in times[1:]:
        view.act("start-later")
        assert view.presenter.markup.tags[0].start_us == expected
    for expected in reversed(times[:-1]):
        press(reviewing, K.Key_Comma, CONTROL)
        assert view.presenter.markup.tags[0].start_us == expected


def test_split_recode_and_join_by_keys(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    presenter = view.presenter
    tag = put(presenter, "sculpt", 0, 4 * S)
    presenter.choose(tag.id)
    at_us = stand_on(reviewing, qtbot, 30)
    press(reviewing, K.Key_Period)
    assert phases(presenter) == [("sculpt", 0, at_us), ("sculpt", at_us, 4 * S)]
    press(reviewing, K.Key_K, CONTROL)
    assert "press its key" in view.chosen_line._words.text()
    term = next(t for t in presenter.vocabulary.phases if t.code == "crack")
    QTest.keyClicks(reviewing.focusWidget(), term.key)
    assert [code for code, _, _ in phases(presenter)] == ["sculpt", "crack"]
    press(reviewing, K.Key_K, CONTROL)
    press(reviewing, K.Key_Escape)
    QTest.keyClicks(reviewing.focusWidget(), term.key)
    assert presenter.running  # the key tags again
    press(reviewing, K.Key_Z, CONTROL)
    press(reviewing, K.Key_Z, CONTROL)
    presenter.choose(presenter.markup.tags[0].id)
    press(reviewing, K.Key_Comma)
    assert phases(presenter) == [("sculpt", 0, 4 * S)]


def test_several_are_chosen_and_removed_by_keys(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    presenter = view.presenter
    tags = [put(presenter, "good-move", at * S) for at in (1, 2, 3)]
    presenter.choose(tags[0].id)
    press(reviewing, K.Key_Down, SHIFT)
    press(reviewing, K.Key_Down, SHIFT)
    assert view.chosen_line._words.toolTip().startswith("3 chosen: Good move")
    press(reviewing, K.Key_Up, SHIFT)
    assert len(presenter.chosen_ids) == 2
    press(reviewing, K.Key_Delete)
    assert [t.id for t in presenter.markup.tags] == [tags[2].id]
    press(reviewing, K.Key_Z, CONTROL)
    press(reviewing, K.Key_A, CONTROL)
    assert len(presenter.chosen_ids) == 3


def test_the_list_is_narrowed_and_chooses_as_the_timeline_does(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    presenter, leaf = view.presenter, view.side.rows
    put(presenter, "sculpt", 0, 4 * S)
    events = [put(presenter, "good-move", at * S) for at in (1, 2, 3)]
    comment = Comment(RowId(new_id()), presenter.session.id, "Lift the wrist", 2 * S + 1)
    presenter.edit("put", Put(comment))
    press(reviewing, K.Key_F8)
    assert leaf.isVisible()
    assert len(leaf.listed_ids) == 5
    leaf.kinds.setCurrentIndex(2)
    leaf.refresh()
    press(reviewing, K.Key_A, CONTROL)
    assert set(presenter.chosen_ids) == {tag.id for tag in events}
    assert len(leaf.rows.selectionModel().selectedRows()) == 3
    press(reviewing, K.Key_Delete)
    qtbot.waitUntil(lambda: not leaf.listed_ids)
    assert leaf.note.text().startswith("Nothing fits")
    press(reviewing, K.Key_Z, CONTROL)
    qtbot.waitUntil(lambda: len(leaf.listed_ids) == 3)
    leaf.kinds.setCurrentIndex(0)
    leaf.words.setText("WRIST lift")
    assert leaf.listed_ids == (comment.id,)
    leaf.words.setText("")
    place = leaf.model.place(events[1].id)
    spot = leaf.rows.visualRect(leaf.model.index(place or 0, 1)).center()
    QTest.mouseClick(leaf.rows.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    assert presenter.chosen_ids == (events[1].id,)
    qtbot.waitUntil(lambda: presenter.playhead_us <= 2 * S < presenter.until_us, timeout=20_000)
    spot = leaf.rows.visualRect(leaf.model.index((place or 0) + 2, 1)).center()
    QTest.mouseClick(leaf.rows.viewport(), Qt.MouseButton.LeftButton, SHIFT, spot)
    assert set(presenter.chosen_ids) == {events[1].id, comment.id, events[2].id}
    n = len(presenter.markup.tags)
    QTest.keyClicks(leaf.rows, next(t.key for t in presenter.vocabulary.events))
    assert len(presenter.markup.tags) == n + 1  # letters tag here as everywhere


def test_down_goes_through_what_a_narrowed_list_shows(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    presenter, leaf = view.presenter, view.side.rows
    put(presenter, "sculpt", 0, 4 * S)
    events = [put(presenter, "good-move", at * S) for at in (1, 3)]
    put(presenter, "crack", 4 * S, 5 * S)
    presenter.choose(events[0].id)
    press(reviewing, K.Key_F8)
    leaf.kinds.setCurrentIndex(2)
    leaf.refresh()
    press(reviewing, K.Key_Down)
    assert presenter.chosen == events[1].id
    press(reviewing, K.Key_Down)
    assert presenter.chosen == events[1].id


def test_times_are_typed_for_the_chosen_tag_and_judged_as_one_types(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    presenter, panel = view.presenter, view.tagging.panel
    qtbot.waitUntil(lambda: view.player.n_frames == 210, timeout=20_000)
    first = put(presenter, "sculpt", 0, 2 * S)
    put(presenter, "crack", 2 * S, 4 * S)
    presenter.choose(first.id)
    press(reviewing, K.Key_J, CONTROL)
    assert panel.isVisible()
    assert not panel.geometry().intersects(
        view.picture.rect().translated(view.picture.mapTo(view, QPoint(0, 0)))
    )
    fields = panel.fields
    assert fields.start.hasFocus()
    fields.end.setFocus()
    fields.end.selectAll()
    QTest.keyClicks(fields.end, "f 999")
    assert "The frames go from 0 to 209" in panel.verdict.text()
    assert not panel.keep_button.isEnabled()
    fields.end.selectAll()
    QTest.keyClicks(fields.end, "f 60")
    assert view.player.feed is not None
    end_us = view.player.feed.time_of(60)
    assert panel.verdict.text().startswith("Makes room: Cracking then begins at 0:0")
    QTest.keyClick(fields.end, K.Key_Return)
    assert not panel.isVisible()
    assert phases(presenter) == [("sculpt", 0, end_us), ("crack", end_us, 4 * S)]
    assert view.picture.hasFocus()
    press(reviewing, K.Key_Z, CONTROL)
    assert phases(presenter) == [("sculpt", 0, 2 * S), ("crack", 2 * S, 4 * S)]


def test_a_new_hand_over_is_typed_with_who_operates(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    presenter, panel = view.presenter, view.tagging.panel
    press(reviewing, K.Key_J, CONTROL)
    fields = panel.fields
    fields.what.setCurrentIndex(fields.what.count() - 1)
    fields.what.activated.emit(fields.what.count() - 1)
    assert fields.who.isVisible()
    assert fields.who.text() == "attending"
    fields.who.selectAll()
    QTest.keyClicks(fields.who, "Dr Name")
    QTest.keyClicks(fields.end, "0:00:03")
    assert "cannot be the one who operates" in panel.verdict.text()
    fields.who.selectAll()
    QTest.keyClicks(fields.who, "A-03")
    QTest.keyClick(panel.keep_button, K.Key_Return)
    (tag,) = presenter.markup.tags
    assert (tag.kind, tag.code, tag.end_us) == (TagKind.HAND_OVER, "A-03", 3 * S)


def test_escape_leaves_the_panel_and_keeps_nothing(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    press(reviewing, K.Key_J, CONTROL)
    QTest.keyClicks(view.tagging.panel.fields.end, "0:00:03")
    press(reviewing, K.Key_Escape)
    assert not view.tagging.panel.isVisible()
    assert not view.presenter.markup.tags
    assert view.picture.hasFocus()


def test_the_tags_of_another_review_are_taken_over_in_one_edit(
    reviewing: DeskWindow, store: Store
) -> None:
    view = view_of(reviewing)
    presenter = view.presenter
    theirs = store.start_session(presenter.case.id, Reviewer("A-02"))
    rows = [
        Tag(RowId(new_id()), theirs.id, TagKind.PHASE, "sculpt", 333_333, 2 * S),
        Tag(RowId(new_id()), theirs.id, TagKind.PHASE, "crack", 3 * S, 4 * S),
        Tag(RowId(new_id()), theirs.id, TagKind.EVENT, "good-move", S),
    ]
    store.edit(theirs.id, "put", "A-02", *(Put(row) for row in rows))
    put(presenter, "incision", 3 * S, 5 * S)
    before = presenter.markup
    view.act("begin-with")
    dialog = next(w for w in QApplication.topLevelWidgets() if isinstance(w, BeginWithDialog))
    assert dialog.list.item(0).text() == "This case, review by A-02"
    dialog.find_line.setText("elsewhere")
    assert dialog.chosen is None
    assert not dialog.take_button.isEnabled()
    assert dialog.verdict.text() == "No review is found by these words."
    dialog.find_line.setText("a-02 THIS")
    assert dialog.verdict.text() == "2 tags will come. Left out: 1 over spans of your own."
    dialog.boxes["event"].setChecked(False)
    assert dialog.verdict.text().startswith("1 tag will come.")
    dialog.take_button.click()
    assert phases(presenter) == [("sculpt", 333_333, 2 * S), ("incision", 3 * S, 5 * S)]
    assert presenter.undo_words == "1 tag taken over from A-02's review of R-07-003"
    presenter.undo()
    assert presenter.markup == before


def test_the_reaction_time_is_shown_changed_and_kept(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    assert reviewing.settings.reaction_s == pytest.approx(0.4)
    press(reviewing, K.Key_PageUp, CONTROL)
    assert reviewing.settings.reaction_s == pytest.approx(0.5)
    assert view.presenter.reaction.seconds == pytest.approx(0.5)
    press(reviewing, K.Key_PageDown, CONTROL)
    press(reviewing, K.Key_PageDown, CONTROL)
    assert reviewing.settings.reaction_s == pytest.approx(0.3)
    assert reviewing.message_bar.words.startswith("While the clip plays, events go 0.3 s back")


def test_an_event_set_back_is_put_to_its_key_press_by_one_key(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    presenter = view.presenter
    presenter.move_playhead(3 * S)
    presenter.is_playing = True
    presenter.press(presenter.vocabulary.events[0])
    presenter.is_playing = False
    assert presenter.markup.tags[0].start_us == 2_600_000
    assert "Backspace puts it to where the key was pressed" in reviewing.message_bar.words
    press(reviewing, K.Key_Backspace)
    assert presenter.markup.tags[0].start_us == 3 * S
    press(reviewing, K.Key_Z, CONTROL)
    assert presenter.markup.tags[0].start_us == 2_600_000
