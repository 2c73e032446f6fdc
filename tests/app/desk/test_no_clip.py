"""A case without a clip: words and tools are true of it."""

from __future__ import annotations

from pathlib import Path

import pytest
from desk_driving import view_of
from desk_scenes import S, tag_only_case
from pytestqt.qtbot import QtBot

from annotate.tags import Leaning
from app.desk.window import DeskWindow
from app.review.draw_leaf import NO_PICTURE
from store import Store


@pytest.fixture
def bare(desk: DeskWindow, store: Store, qtbot: QtBot) -> DeskWindow:
    store.take_in(tag_only_case("R-07-009"), "A-01")
    desk.open_case("R-07-009")
    qtbot.waitUntil(lambda: desk.review is not None)
    return desk


def words(desk: DeskWindow) -> str:
    return view_of(desk).picture._sentence


def test_an_empty_review_says_how_to_begin_and_a_tagged_one_what_there_is(
    bare: DeskWindow, tmp_path: Path
) -> None:
    assert "Nothing is tagged yet. Ctrl+J" in words(bare)
    assert "complete" not in words(bare)
    file = tmp_path / "one.csv"
    file.write_text("kind,code,start,end,leaning,weight,comment\nphase,sculpt,5,9,,,\n")
    bare.paperwork.read_tags(file)
    assert "The timeline and the figures are made of what is tagged." in words(bare)
    view_of(bare).presenter.undo()
    assert "Nothing is tagged yet." in words(bare)


def test_the_tools_wait_for_a_picture(bare: DeskWindow) -> None:
    view = view_of(bare)
    view.side.leaves.turn_to("draw")
    leaf = view.side.draw
    assert not any(button.isEnabled() for button in leaf.tools.buttons())
    assert leaf._of.text() == NO_PICTURE
    assert "drag on the picture" not in leaf.marks.empty.text()
    bare.act("draw-arrow")
    assert view.marks.board.kind is None
    assert bare.message_bar.words == NO_PICTURE
    bare.act("mark-here")
    assert not view.presenter.markup.marks


def test_the_comment_box_promises_no_clip_that_plays_on(bare: DeskWindow) -> None:
    view = view_of(bare)
    assert "plays on" not in view.comment_box.text.placeholderText()
    assert view.presenter.keep_comment("Shallower strokes", 5 * S, Leaning.CORRECT)
    assert "Nothing is tagged yet." in words(bare)
