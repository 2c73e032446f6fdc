"""The leaf Tag: the pad's gravest words, the chosen row, the comment's controls, the list."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from desk_driving import press, view_of
from desk_scenes import S, opened, presenter_on, tag_only_case
from PySide6.QtCore import QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QToolButton
from pytestqt.qtbot import QtBot

from annotate.clock import short_time
from annotate.ids import RowId, new_id
from annotate.marks import Mark, MarkKind
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary_file import shipped_names, shipped_vocabulary
from app.desk.window import DeskWindow
from app.review.pad_button import PadButton
from app.review.tag_pad import grave_codes
from app.review.transport import Transport
from store import Put

LOW = (1366, 768)
LONG = "The rim folds as the tip goes under it, and the eye rolls with the second hand. " * 2


def settle(desk: DeskWindow, qtbot: QtBot, size: tuple[int, int] = LOW) -> None:
    desk.resize(*size)
    qtbot.waitUntil(lambda: (desk.width(), desk.height()) == size)
    qtbot.waitUntil(lambda: view_of(desk).transport.width() > 0)


def event(desk: DeskWindow, code: str = "eye-off-centre") -> Tag:
    presenter = view_of(desk).presenter
    tag = Tag(
        RowId(new_id()), presenter.session.id, TagKind.EVENT, code, 500_000, None,
        Leaning.CORRECT, 1,
    )  # fmt: skip
    assert presenter.edit("put", Put(tag))
    return tag


# The list of comments


def test_four_lines_of_comments_are_seen_on_a_low_screen(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    settle(reviewing, qtbot)
    view = view_of(reviewing)
    rows = [
        Comment(RowId(new_id()), view.presenter.session.id, LONG, n * 300_000) for n in range(4)
    ]
    assert view.presenter.edit("put", *map(Put, rows))
    view.presenter.choose(event(reviewing).id)
    lines_px = 4 * view.comments.fontMetrics().lineSpacing()
    qtbot.waitUntil(lambda: view.comments.viewport().height() >= lines_px)
    qtbot.waitUntil(lambda: view.side.verticalScrollBar().maximum() == 0)  # nor does it scroll
    qtbot.waitUntil(lambda: view.side.widget().width() <= view.side.viewport().width())
    assert view.picture.width() * view.picture.height() >= LOW[0] * LOW[1] / 2
    press(reviewing, Qt.Key.Key_Return)
    QTest.keyClicks(reviewing.focusWidget(), "and while one is written")
    assert view.comments.viewport().height() >= lines_px


# The chosen row and the comment's controls


def test_the_chosen_row_stands_apart_and_moves_nothing(reviewing: DeskWindow, qtbot: QtBot) -> None:
    settle(reviewing, qtbot)
    view = view_of(reviewing)
    tag = event(reviewing)
    view.presenter.choose(None)
    line = view.chosen_line
    assert not line.face.isVisible()
    assert not any(button.isVisible() for button in line.findChildren(QToolButton))
    parts = (view.pad, view.comment_box, view.comments)
    before = [QRect(part.geometry()) for part in parts]
    view.presenter.choose(tag.id)
    assert line.face.isVisible()
    assert "Eye off centre" in line._words.text()
    assert [part.geometry() for part in parts] == before


def test_the_comments_controls_are_dim_until_there_is_a_comment(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    controls = view.comment_box.controls
    buttons = (*controls.leanings.values(), *controls.weights.values())

    def are_dim() -> set[bool]:
        return {button.property("dim") for button in buttons}

    assert controls.heading.text() == "New comment"
    assert controls.heading.isVisible()
    assert not any(button.isChecked() for button in controls.leanings.values())
    assert are_dim() == {True}
    heights = (controls.head.height(), view.comment_box.height())
    press(reviewing, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: are_dim() == {False})
    assert controls.more.isVisible()
    assert controls.leanings[Leaning.NEUTRAL].isChecked()
    assert (controls.head.height(), view.comment_box.height()) == heights, "nothing jumps"
    press(reviewing, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: are_dim() == {True})
    view.comment_box.text.setFocus()
    qtbot.waitUntil(lambda: are_dim() == {False})
    view.picture.setFocus()
    qtbot.waitUntil(lambda: are_dim() == {True})
    controls.leanings[Leaning.COMMEND].click()
    assert are_dim() == {False}, "a leaning waits for the next comment"


def test_the_controls_of_a_comment_say_what_they_are_for(reviewing: DeskWindow) -> None:
    controls = view_of(reviewing).comment_box.controls
    for button in (controls.end, controls.phase, controls.mark):
        assert "Alt+" in button.toolTip()
        assert button.toolTip().endswith(button.accessibleDescription())
    press(reviewing, Qt.Key.Key_Return)
    assert controls.end.accessibleName() == "Holds: a moment"
    assert controls.mark.text().startswith("Mark: ")


# The gravest events


@pytest.mark.parametrize("name", shipped_names())
def test_the_gravest_are_those_that_weigh_most_in_the_vocabulary(name: str) -> None:
    events = shipped_vocabulary(name).events
    most = max(term.weight for term in events)
    assert grave_codes(events) == {term.code for term in events if term.weight == most}
    alike = tuple(replace(term, weight=2) for term in events)
    assert grave_codes(alike) == frozenset()


def test_a_grave_event_is_told_by_more_than_its_colour(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    by_code = {button.term.code: button for button in view.pad.findChildren(PadButton)}
    grave, light = by_code["capsule-tear"], by_code["iris-touch"]
    assert grave.font() == light.font(), "boxed or not: two grades, not three"
    assert "weighs heavily" in grave.accessibleName()
    assert "weighs heavily" in grave.toolTip()
    assert "weighs heavily" not in light.accessibleName()
    images = [button.grab(QRect(25, 2, 18, 15)).toImage() for button in (grave, light)]
    lit = [
        sum(
            image.pixelColor(x, y).lightness() > 90
            for x in range(image.width())
            for y in range(image.height())
        )
        for image in images
    ]
    assert lit[0] > 2 * lit[1] > 0, "a box around the sign, not another hue"


# The clock


def test_the_length_of_the_case_is_read_on_a_low_screen(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    settle(reviewing, qtbot)
    transport, length_us = view_of(reviewing).transport, view_of(reviewing).presenter.length_us
    qtbot.waitUntil(lambda: f" of {short_time(length_us)}  frame " in transport._where.text())
    assert transport.sound.slider.isVisible()
    assert not transport.more.isVisible()


def test_the_length_of_three_hours_too(tmp_path: Path, qtbot: QtBot) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store, tag_only_case(length_us=3 * 3600 * S))
    transport = Transport(presenter)
    qtbot.addWidget(transport)
    transport.resize(982, 30)  # as wide as the picture on that screen
    transport.show()
    transport.show_where(0, 0, 3 * 3600 * 60)
    assert transport._where.text() == "0:00:00.000 of 3:00:00  frame 0"
    assert transport._where.width() >= transport._where.fontMetrics().horizontalAdvance(
        "0:00:00.000 of 3:00:00  frame 647999"
    )
    assert transport.sound.slider.isVisible()


# The row over the box, the edge of a low column


def test_one_row_holds_what_is_chosen_or_the_heading_of_the_comment(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    settle(reviewing, qtbot)
    view = view_of(reviewing)
    head, line = view.comment_box.controls.head, view.chosen_line
    view.presenter.choose(event(reviewing).id)
    assert (head.isVisible(), line.isVisible()) == (False, True)
    press(reviewing, Qt.Key.Key_Return)
    assert (head.isVisible(), line.isVisible()) == (True, False)
    press(reviewing, Qt.Key.Key_Escape)
    assert (head.isVisible(), line.isVisible()) == (False, True)
    view.presenter.choose(None)
    assert (head.isVisible(), line.isVisible()) == (True, False)


def test_removing_stands_apart_and_is_said_in_a_word(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    view.presenter.choose(event(reviewing).id)
    remove, heaviest = (view.chosen_line._buttons[a] for a in ("remove", "weight-3"))
    assert remove.text() == "Remove"
    assert remove.fontMetrics().horizontalAdvance("Remove") < remove.width()
    assert remove.x() - (heaviest.x() + heaviest.width()) >= 8


def test_the_lower_edge_of_the_column_cuts_no_line_of_the_figures(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    line, side = view.figures_line, view.side
    n_would_be_cut = 0
    for height in range(500, 768, 12):
        settle(reviewing, qtbot, (1366, height))

        def is_whole_or_below() -> bool:
            top = line.mapTo(side.widget(), line.rect().topLeft()).y()
            edge = side.viewport().height()
            return bool(top >= edge or top + line.height() <= edge)

        qtbot.waitUntil(is_whole_or_below)
        n_would_be_cut += side._fold.sizeHint().height() > 0
    assert n_would_be_cut > 0, "at some height it would have been"


def test_a_mark_of_a_comment_is_said_in_words(reviewing: DeskWindow) -> None:
    presenter = view_of(reviewing).presenter
    mark = Mark(
        RowId(new_id()), presenter.session.id, MarkKind.RING, 300_000, 900_000,
        ((0.5, 0.5), (0.6, 0.6)),
    )  # fmt: skip
    comment = Comment(RowId(new_id()), presenter.session.id, "Look", 300_000, mark_id=mark.id)
    assert presenter.edit("put", Put(mark), Put(comment))
    item = view_of(reviewing).comments.item(0)
    assert "✎" in item.text()
    assert "with a mark" in item.toolTip()
    assert item.data(Qt.ItemDataRole.AccessibleTextRole) == "0:00, neutral, with a mark: Look"
