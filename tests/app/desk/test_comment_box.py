"""The comment box in a real window: all that goes with a comment, by keys while one types."""

from __future__ import annotations

from pathlib import Path

import pytest
from desk_driving import CONTROL, PLAIN, view_of
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from annotate.ids import RowId, new_id
from annotate.marks import Mark, MarkKind
from annotate.tags import Comment, Leaning
from app.desk.window import DeskWindow
from app.review.comment_box import CommentBox
from app.review.phrases import Phrase, Phrases
from store import Put

ALT, KEY = Qt.KeyboardModifier.AltModifier, Qt.Key


def key(desk: DeskWindow, what: Qt.Key | str, modifiers: Qt.KeyboardModifier = PLAIN) -> None:
    target = desk.focusWidget() or desk
    if isinstance(what, str):
        QTest.keyClicks(target, what)
    else:
        QTest.keyClick(target, what, modifiers)


def box_of(desk: DeskWindow) -> CommentBox:
    return view_of(desk).comment_box


def kept(desk: DeskWindow) -> Comment:
    return view_of(desk).presenter.markup.comments[-1]


def test_weight_phase_and_leaning_by_keys_while_one_types(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    key(reviewing, KEY.Key_Return)
    key(reviewing, "Hold ")
    key(reviewing, KEY.Key_3, CONTROL)
    key(reviewing, KEY.Key_Down, CONTROL)
    key(reviewing, KEY.Key_Down, ALT)
    key(reviewing, KEY.Key_Down, ALT)
    key(reviewing, KEY.Key_Up, ALT)
    assert box_of(reviewing).controls.phase.accessibleName().startswith("About: ")
    key(reviewing, "still")
    key(reviewing, KEY.Key_Return)
    comment = kept(reviewing)
    assert (comment.text, comment.weight, comment.leaning, comment.phase) == (
        "Hold still",
        3,
        Leaning.CORRECT,
        view.presenter.vocabulary.phase_codes[0],
    )
    assert reviewing.focusWidget() is view.picture
    assert "▼▼▼" in view.comments.item(0).text()
    assert not box_of(reviewing).controls.more.isVisible()


def test_a_comment_holds_until_where_the_clip_is_and_keeps_its_time_when_changed(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    key(reviewing, KEY.Key_Return)
    key(reviewing, "Two seconds")
    begun_us = view.presenter.playhead_us
    view.go_to_number(60)
    qtbot.waitUntil(lambda: view.presenter.playhead_us > begun_us, timeout=20_000)
    key(reviewing, KEY.Key_End, ALT)
    end_us = view.presenter.until_us
    key(reviewing, KEY.Key_Return)
    comment = kept(reviewing)
    assert (comment.start_us, comment.end_us) == (begun_us, end_us)
    view.presenter.choose(comment.id)
    key(reviewing, KEY.Key_F2)
    assert box_of(reviewing).controls.end.accessibleName().startswith("Holds: to ")
    key(reviewing, "Reworded")
    key(reviewing, KEY.Key_1, CONTROL)
    key(reviewing, KEY.Key_End, ALT)
    key(reviewing, KEY.Key_Return)
    changed = kept(reviewing)
    assert (changed.id, changed.start_us) == (comment.id, begun_us)
    assert (changed.text, changed.weight, changed.end_us) == ("Reworded", 1, None)


def test_the_mark_just_drawn_is_linked_and_can_be_let_go(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    mark = Mark(
        RowId(new_id()), view.presenter.session.id, MarkKind.ARROW, 0, 2_000_000,
        ((0.2, 0.2), (0.5, 0.5)),
    )  # fmt: skip
    view.presenter.edit("Arrow drawn", Put(mark))
    key(reviewing, KEY.Key_Return)
    key(reviewing, "This edge")
    assert box_of(reviewing).controls.mark.accessibleName() == "Mark: arrow"
    key(reviewing, KEY.Key_Home, ALT)
    assert box_of(reviewing).controls.mark.accessibleName() == "Mark: none"
    key(reviewing, KEY.Key_Home, ALT)
    key(reviewing, KEY.Key_Return)
    assert kept(reviewing).mark_id == mark.id
    assert "✎" in view.comments.item(0).text()


@pytest.fixture
def mine(own_folders: Path) -> Phrases:
    phrases = Phrases()
    assert phrases.change(
        [
            Phrase("Lift the wrist at {time}"),
            Phrase("Before {...} look at {...}; {operator}", Leaning.CORRECT),
        ]
    )
    return Phrases()


def test_a_phrase_is_put_in_and_its_blanks_are_gone_through(
    mine: Phrases, reviewing: DeskWindow
) -> None:
    box = box_of(reviewing)
    key(reviewing, KEY.Key_Space, CONTROL)
    assert box.list.is_open
    assert box.list.item(0).text().strip() == "Lift the wrist at 0:00"  # it leans neither way
    key(reviewing, "look")
    assert box.list.item(0).text().endswith("Before {...} look at {...}; R-07")
    key(reviewing, KEY.Key_Return)
    assert not box.list.is_open
    assert box.text.textCursor().selectedText() == "{...}"
    key(reviewing, "you chop")
    key(reviewing, KEY.Key_Tab)
    key(reviewing, "the rim")
    key(reviewing, KEY.Key_Return)
    comment = kept(reviewing)
    assert comment.text == "Before you chop look at the rim; R-07"
    assert comment.leaning is Leaning.CORRECT


def test_an_empty_blank_is_asked_about_once_and_then_left_out(
    mine: Phrases, reviewing: DeskWindow
) -> None:
    key(reviewing, KEY.Key_Return)
    key(reviewing, "Calm. bef")
    key(reviewing, KEY.Key_Space, CONTROL)
    key(reviewing, KEY.Key_Tab)
    assert box_of(reviewing).text.toPlainText() == "Calm. Before {...} look at {...}; R-07"
    key(reviewing, KEY.Key_Return)
    assert not view_of(reviewing).presenter.markup.comments
    assert "blank is still empty" in reviewing.message_bar.words
    key(reviewing, KEY.Key_Return)
    assert kept(reviewing).text == "Calm. Before look at; R-07"


def test_escape_closes_the_list_and_leaves_the_words(mine: Phrases, reviewing: DeskWindow) -> None:
    key(reviewing, KEY.Key_Return)
    key(reviewing, "zzz ")
    key(reviewing, KEY.Key_Space, CONTROL)
    key(reviewing, "qqq")
    assert box_of(reviewing).list.item(0).text() == "No phrase has these words."
    key(reviewing, KEY.Key_Escape)
    assert not box_of(reviewing).list.is_open
    assert box_of(reviewing).text.toPlainText() == "zzz qqq"


def test_what_is_in_the_box_is_kept_as_a_phrase(mine: Phrases, reviewing: DeskWindow) -> None:
    key(reviewing, KEY.Key_Return)
    key(reviewing, "Never pull, always turn ")
    key(reviewing, KEY.Key_Up, CONTROL)
    key(reviewing, KEY.Key_Space, CONTROL)
    key(reviewing, KEY.Key_Up)
    key(reviewing, KEY.Key_Up)
    key(reviewing, KEY.Key_Return)
    assert Phrases().all[0] == Phrase("Never pull, always turn", Leaning.COMMEND)
    assert "Kept as a phrase" in reviewing.message_bar.words
    assert box_of(reviewing).text.toPlainText() == "Never pull, always turn "


def test_phrases_are_changed_added_and_removed_in_their_dialog(
    mine: Phrases, reviewing: DeskWindow, qtbot: QtBot
) -> None:
    dialog = box_of(reviewing).change_phrases()
    dialog.words.setPlainText("Lift the elbow")
    dialog.leaning.setCurrentIndex(3)
    assert Phrases().all[0] == Phrase("Lift the elbow", Leaning.CORRECT)
    dialog.words.setPlainText("  ")
    assert "stays as it was" in dialog.foot.text()
    dialog.add.click()
    QTest.keyClicks(dialog.words, "Third")
    assert [p.words for p in Phrases().all][:2] == ["Third", "Lift the elbow"]
    dialog.list.setCurrentRow(1)
    dialog.remove.click()
    assert Phrases().all[0].words == "Third"
    assert len(Phrases().all) == 2
    dialog.close()


def test_a_review_that_takes_no_edit_offers_no_phrase(reviewing: DeskWindow) -> None:
    view_of(reviewing).presenter.sign()
    key(reviewing, KEY.Key_Space, CONTROL)
    assert not box_of(reviewing).list.is_open


def test_a_bad_file_of_phrases_is_said_and_kept_aside(reviewing: DeskWindow) -> None:
    file = Phrases().path
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text("not a list [")
    key(reviewing, KEY.Key_Space, CONTROL)
    assert "kept as phrases-unread-1.toml" in reviewing.message_bar.words
    assert file.with_name("phrases-unread-1.toml").read_text() == "not a list ["
    assert box_of(reviewing).list.is_open
