"""Panes keep their sizes; leaves turn by key and click; figures come later."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_driving import press, view_of
from desk_scenes import S, opened, presenter_on, tag_only_case
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from annotate.ids import RowId, new_id
from annotate.tags import Tag, TagKind
from app.desk.window import DeskWindow
from app.places import settings_file
from app.review.figures_later import FiguresLater
from app.review.leaves import Leaves
from app.review.presenter import ReviewPresenter
from app.settings import load_settings
from metrics.figures import SessionFigures
from metrics.from_tags import figures
from store import Put


def drag(desk: DeskWindow, by_px: int, *, is_across: bool) -> None:
    panes = view_of(desk).panes
    splitter = panes.columns if is_across else panes.rows
    first, second = splitter.sizes()
    splitter.moveSplitter(first - by_px, 1)
    assert splitter.sizes() != [first, second]


def test_edges_of_panes_are_dragged_and_remembered(
    desk: DeskWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    desk._keeps_settings = True
    desk.resize(1366, 768)
    desk.open_case("R-07-003")
    qtbot.waitUntil(lambda: desk.review is not None and view_of(desk).panes.width() > 1300)
    side_px, below_px = view_of(desk).side.width(), view_of(desk).panes.below.height()
    drag(desk, 60, is_across=True)
    drag(desk, 40, is_across=False)
    qtbot.waitUntil(lambda: desk.settings.side_px > side_px)
    assert desk.settings.timeline_px > below_px
    assert load_settings(settings_file()).side_px == desk.settings.side_px
    desk.show_caseload()
    desk.open_case("R-07-003")
    qtbot.waitUntil(lambda: view_of(desk).side.width() == desk.settings.side_px)
    qtbot.waitUntil(lambda: view_of(desk).panes.below.height() == desk.settings.timeline_px)
    desk.resize(1920, 1080)
    qtbot.waitUntil(lambda: view_of(desk).panes.width() > 1900)
    assert view_of(desk).side.width() == desk.settings.side_px


def test_a_leaf_is_turned_to_by_key_and_by_click(reviewing: DeskWindow) -> None:
    leaves = view_of(reviewing).side.leaves
    press(reviewing, Qt.Key.Key_F6)
    assert leaves.open_leaf == "draw"
    press(reviewing, Qt.Key.Key_F5)
    assert leaves.open_leaf == "tag"
    press(reviewing, Qt.Key.Key_1)
    assert view_of(reviewing).presenter.markup.tags != ()


def test_words_over_leaves_come_with_the_second(qtbot: QtBot) -> None:
    leaves = Leaves()
    qtbot.addWidget(leaves)
    leaves.add("tag", "Tag", QLabel("one"))
    leaves.show()
    assert not leaves._words.isVisible()
    with qtbot.assertNotEmitted(leaves.turned):
        leaves.turn_to("tag")
    leaves.add("draw", "Draw", QLabel("two"))
    assert leaves._words.isVisible()
    button = leaves._group.button(1)
    with qtbot.waitSignal(leaves.turned):
        QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert leaves.stack.currentIndex() == 1
    assert button.toolTip().endswith("(F6)")


@pytest.fixture
def presenter(tmp_path: Path) -> Iterator[ReviewPresenter]:
    with opened(tmp_path) as store:
        yield presenter_on(store, tag_only_case(length_us=7200 * S))


def events(presenter: ReviewPresenter, n: int) -> list[Put]:
    code = presenter.vocabulary.events[0].code
    return [
        Put(Tag(RowId(new_id()), presenter.session.id, TagKind.EVENT, code, at * S))
        for at in range(n)
    ]


@pytest.mark.parametrize("n", [3, 900])
def test_figures_follow_the_newest_tags(presenter: ReviewPresenter, qtbot: QtBot, n: int) -> None:
    later = FiguresLater(presenter)
    seen: list[SessionFigures] = []
    later.ready.connect(seen.append)
    try:
        presenter.edit("many", *events(presenter, n))
        presenter.edit("one more", *events(presenter, 1))
        presenter.undo()
        presenter.redo()
        qtbot.waitUntil(lambda: bool(seen) and seen[-1].events.total == n + 1, timeout=20_000)
        qtbot.waitUntil(lambda: not later.is_waiting, timeout=20_000)
        assert seen[-1] == figures(presenter.markup.tags, presenter.vocabulary)
    finally:
        later.close()


def test_many_tags_are_not_added_up_in_the_key_press(
    presenter: ReviewPresenter, qtbot: QtBot
) -> None:
    later = FiguresLater(presenter)
    seen: list[SessionFigures] = []
    later.ready.connect(seen.append)
    presenter.edit("many", *events(presenter, 900))
    assert seen == []
    assert later.is_waiting
    later.close()
    presenter.edit("one more", *events(presenter, 1))
    assert seen == []
