"""A whole review in a real window: keys, pointer, exact frames, and what is kept."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest
from numbered_clips import read_number
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from annotate.tags import Leaning, TagKind
from app.desk.window import DeskWindow
from app.review.view import ReviewView
from metrics.document import figures_document
from metrics.from_tags import figures
from store import Store

S = 1_000_000


def view_of(desk: DeskWindow) -> ReviewView:
    assert desk.review is not None
    return desk.review


def number_on_screen(view: ReviewView) -> int | None:
    """Read the frame number from the pixels that the picture view painted."""
    image: QImage = view.picture._image.convertToFormat(QImage.Format.Format_RGB888)  # type: ignore[union-attr]
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1)
    return read_number(rows[:, : image.width() * 3].reshape(image.height(), image.width(), 3))


def key(desk: DeskWindow, key_: Qt.Key | str, modifier: Qt.KeyboardModifier | None = None) -> None:
    target = desk.focusWidget() or desk
    modifiers = modifier or Qt.KeyboardModifier.NoModifier
    if isinstance(key_, str):
        QTest.keyClicks(target, key_, modifiers)
    else:
        QTest.keyClick(target, key_, modifiers)


def wait_number(desk: DeskWindow, qtbot: QtBot, number: int) -> None:
    qtbot.waitUntil(lambda: view_of(desk).picture.shown_number == number, timeout=20_000)


def tag_key(desk: DeskWindow, code: str) -> str:
    return next(t.key for t in view_of(desk).presenter.vocabulary.terms if t.code == code)


def test_each_frame_shown_is_the_one_asked_for(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    picks = random.Random(3).sample(range(210), 25)
    for number in picks:
        view.go_to_number(number)
        wait_number(reviewing, qtbot, number)
        assert number_on_screen(view) == number


def test_arrow_keys_step_one_frame_over_the_join_of_two_clips(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    view.go_to_number(117)
    wait_number(reviewing, qtbot, 117)
    for number in range(118, 124):
        key(reviewing, Qt.Key.Key_Right)
        wait_number(reviewing, qtbot, number)
        assert number_on_screen(view) == number
    for number in range(122, 116, -1):
        key(reviewing, Qt.Key.Key_Left)
        wait_number(reviewing, qtbot, number)
        assert number_on_screen(view) == number


def test_playing_shows_rising_frames_and_stops_at_the_end(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    view.go_to_number(150)
    wait_number(reviewing, qtbot, 150)
    seen: list[int] = []
    view.presenter.playhead_moved.listen(lambda: seen.append(view.picture.shown_number or 0))
    key(reviewing, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: not view.presenter.is_playing, timeout=30_000)
    qtbot.waitUntil(lambda: view.picture.shown_number == 209, timeout=20_000)
    assert seen == sorted(seen)
    assert len(set(seen)) > 10


def test_a_phase_is_tagged_by_one_key_while_the_clip_plays(
    reviewing: DeskWindow, qtbot: QtBot, store: Store
) -> None:
    view = view_of(reviewing)
    key(reviewing, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: (view.picture.shown_number or 0) >= 10, timeout=20_000)
    key(reviewing, tag_key(reviewing, "incision"))
    began = view.presenter.markup.tags[0].start_us
    qtbot.waitUntil(lambda: view.presenter.playhead_us > began + S // 2, timeout=20_000)
    key(reviewing, tag_key(reviewing, "viscoelastic"))
    assert view.presenter.is_playing
    tags = store.markup(view.presenter.session.id).tags
    assert [tag.code for tag in tags] == ["incision", "viscoelastic"]
    assert tags[0].end_us == tags[1].start_us


def test_a_comment_is_typed_without_stopping_the_clip(
    reviewing: DeskWindow, qtbot: QtBot, store: Store
) -> None:
    view = view_of(reviewing)
    key(reviewing, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: (view.picture.shown_number or 0) >= 5, timeout=20_000)
    begun_us = view.presenter.playhead_us
    key(reviewing, Qt.Key.Key_Return)
    assert reviewing.focusWidget() is view.comment_box.text
    number = view.picture.shown_number or 0
    key(reviewing, "a 1 keys q go into the words, no tag")
    qtbot.waitUntil(lambda: (view.picture.shown_number or 0) > number + 5, timeout=20_000)
    key(reviewing, Qt.Key.Key_Up, Qt.KeyboardModifier.ControlModifier)
    key(reviewing, Qt.Key.Key_Return)
    assert view.presenter.is_playing
    markup = store.markup(view.presenter.session.id)
    assert not markup.tags
    (comment,) = markup.comments
    assert comment.text == "a 1 keys q go into the words, no tag"
    assert comment.leaning is Leaning.COMMEND
    assert comment.start_us == begun_us
    assert reviewing.focusWidget() is view.picture


def test_escape_leaves_the_comment_unwritten(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    key(reviewing, Qt.Key.Key_Return)
    key(reviewing, "half a thought")
    key(reviewing, Qt.Key.Key_Escape)
    assert not view.presenter.markup.comments
    assert reviewing.focusWidget() is view.picture


def test_undo_and_redo_by_keys(reviewing: DeskWindow, store: Store) -> None:
    view = view_of(reviewing)
    key(reviewing, tag_key(reviewing, "good-move"))
    kept = view.presenter.markup
    assert kept.tags
    control = Qt.KeyboardModifier.ControlModifier
    key(reviewing, Qt.Key.Key_Z, control)
    assert not store.markup(view.presenter.session.id).tags
    key(reviewing, Qt.Key.Key_Z, control | Qt.KeyboardModifier.ShiftModifier)
    assert store.markup(view.presenter.session.id) == kept


def tagged_span(desk: DeskWindow, qtbot: QtBot) -> None:
    """Sculpting from frame 30 to frame 90."""
    for number in (30, 90):
        view_of(desk).go_to_number(number)
        wait_number(desk, qtbot, number)
        key(desk, tag_key(desk, "sculpt"))


def test_an_edge_is_dragged_on_the_timeline_and_kept_once(
    reviewing: DeskWindow, qtbot: QtBot, store: Store
) -> None:
    tagged_span(reviewing, qtbot)
    view = view_of(reviewing)
    timeline = view.timeline
    (tag,) = view.presenter.markup.tags
    top, bottom = timeline.lanes_area().strip.ribbon
    y = round(timeline.lanes_area().area.y() + (top + bottom) / 2)
    start = QPoint(round(timeline.x_of(tag.end_us or 0)), y)
    wanted_us = (tag.end_us or 0) + S
    end = QPoint(round(timeline.x_of(wanted_us)), y)
    n_edits = len(store.history(view.presenter.session.id))
    surface = timeline.viewport()
    QTest.mousePress(surface, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, start)
    for part in (0.3, 0.7, 1.0):
        QTest.mouseMove(surface, start + (end - start) * part)
    QTest.mouseRelease(surface, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, end)
    (moved,) = store.markup(view.presenter.session.id).tags
    one_pixel_us = timeline.time_at(QPointF(101, y)) - timeline.time_at(QPointF(100, y))
    assert moved.start_us == tag.start_us
    assert abs((moved.end_us or 0) - wanted_us) <= 2 * one_pixel_us
    assert len(store.history(view.presenter.session.id)) == n_edits + 1


def test_a_click_on_the_timeline_goes_to_that_frame(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    spot = QPoint(round(view.timeline.x_of(4 * S)), 60)
    number = view.player.feed.number_at(view.timeline.time_at(QPointF(spot)))  # type: ignore[union-attr]
    QTest.mouseClick(
        view.timeline.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, spot
    )
    wait_number(reviewing, qtbot, number)
    assert number_on_screen(view) == number


def test_the_figures_beside_the_clip_follow_the_tags(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    assert "Tag a phase" in view.figures_line.text()
    tagged_span(reviewing, qtbot)
    shown = figures(view.presenter.markup.tags, view.presenter.vocabulary)
    assert view.figures_line.text().startswith(f"Observed 0:0{shown.observed_us // S}")
    view.presenter.undo()
    view.presenter.undo()
    assert "Tag a phase" in view.figures_line.text()


def test_the_desk_and_the_command_line_agree_on_the_figures(
    reviewing: DeskWindow, qtbot: QtBot, capsys: pytest.CaptureFixture[str]
) -> None:
    import json

    from app.main import main

    tagged_span(reviewing, qtbot)
    presenter = view_of(reviewing).presenter
    reviewing.show_caseload()
    assert main(["--store", str(reviewing.store.path), "--json", "figures", "R-07-003"]) == 0
    told = json.loads(capsys.readouterr().out)
    expected = figures_document(figures(presenter.markup.tags, presenter.vocabulary))
    assert {k: told[k] for k in expected} == expected


def test_the_note_is_handed_back_in_the_background(
    reviewing: DeskWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    key(reviewing, tag_key(reviewing, "eye-off-centre"))
    key(reviewing, Qt.Key.Key_Return)
    key(reviewing, "Bring the eye back to the middle")
    key(reviewing, Qt.Key.Key_Return)
    target = tmp_path / "note.html"
    reviewing.paperwork.hand_back(target)
    qtbot.waitUntil(lambda: reviewing.background.current is None, timeout=60_000)
    assert "Bring the eye back to the middle" in target.read_text(encoding="utf-8")
    assert "note.html" in reviewing.message_bar.words


def test_a_note_that_cannot_be_written_gets_a_sentence(
    reviewing: DeskWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    reviewing.paperwork.hand_back(tmp_path / "note.xyz")
    qtbot.waitUntil(lambda: reviewing.background.current is None, timeout=60_000)
    assert "note.xyz" in reviewing.message_bar.words
    assert not list(tmp_path.glob("note*"))


def test_a_bad_tag_file_changes_nothing_and_says_why(
    reviewing: DeskWindow, tmp_path: Path, store: Store
) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text("kind,code,start,end,leaning,weight,comment\nphase,sculpt,5,2,,,\n")
    reviewing.paperwork.read_tags(bad)
    assert "line 2" in reviewing.message_bar.words
    assert not store.markup(view_of(reviewing).presenter.session.id).tags


def test_tags_read_give_way_to_ones_own_and_one_undo_takes_them_back(
    reviewing: DeskWindow, qtbot: QtBot, tmp_path: Path, store: Store
) -> None:
    from app.desk.long_sentence import WholeSentence

    presenter = view_of(reviewing).presenter
    tagged_span(reviewing, qtbot)
    before = presenter.markup.tags
    (own,) = (t for t in before if t.kind is TagKind.PHASE)
    end_s = (own.end_us or 0) / S
    over = tmp_path / "over.csv"
    over.write_text(
        "kind,code,start,end,leaning,weight,comment\n"
        f"phase,crack,{own.start_us / S},{end_s + 0.5},,,\n"
        f"phase,fragments,{end_s},{end_s + 1},,,\nphase,cortex,{end_s + 0.8},{end_s + 2},,,\n"
    )
    reviewing.paperwork.read_tags(over)
    after = store.markup(presenter.session.id).tags
    assert set(before) <= set(after)
    fresh = sorted((t for t in after if t not in before), key=lambda t: t.start_us)
    assert [t.code for t in fresh] == ["fragments", "cortex"]
    assert fresh[0].end_us == fresh[1].start_us
    assert "2 rows are new and kept" in reviewing.message_bar.words
    reviewing.message_bar.deeds[0].click()
    (told,) = reviewing.findChildren(WholeSentence)
    assert len(told.text.toPlainText().splitlines()) == 2
    told.close()
    assert presenter.undo()
    assert store.markup(presenter.session.id).tags == before


def test_leaving_the_review_ends_the_running_phase(
    reviewing: DeskWindow, qtbot: QtBot, store: Store
) -> None:
    view = view_of(reviewing)
    key(reviewing, tag_key(reviewing, "incision"))
    view.go_to_number(60)
    wait_number(reviewing, qtbot, 60)
    session, at_us = view.presenter.session.id, view.presenter.playhead_us
    reviewing.show_caseload()
    (tag,) = store.markup(session).tags
    assert (tag.kind, tag.start_us, tag.end_us) == (TagKind.PHASE, 0, at_us)


def test_the_picture_gets_half_of_the_window_at_1366_by_768(reviewing: DeskWindow) -> None:
    reviewing.resize(1366, 768)
    view = view_of(reviewing)
    assert reviewing.width() == 1366
    assert view.picture.width() * view.picture.height() >= 1366 * 768 / 2


def test_a_clip_that_moved_is_found_beside_the_others(
    desk: DeskWindow, qtbot: QtBot, store: Store, clips: list[Path]
) -> None:
    renamed = clips[0].with_name("renamed.mp4")
    clips[0].rename(renamed)
    try:
        desk.open_case("R-07-003")
        qtbot.waitUntil(
            lambda: desk.review is not None and desk.review.picture.shown_number == 0,
            timeout=20_000,
        )
        assert store.case("R-07-003").clips[0].path == str(renamed)
    finally:
        renamed.rename(clips[0])


def test_whatever_is_chosen_fits_the_side_column(reviewing: DeskWindow) -> None:
    from PySide6.QtWidgets import QScrollArea

    view = view_of(reviewing)
    view.presenter.keep_comment("A comment of some length, to be chosen " * 4, 0, Leaning.CORRECT)
    view.presenter.choose(view.presenter.markup.comments[0].id)
    view.presenter.weigh_chosen(weight=3)
    area = next(a for a in view.findChildren(QScrollArea) if a.isAncestorOf(view.pad))
    assert area.widget().minimumSizeHint().width() <= area.viewport().width()
