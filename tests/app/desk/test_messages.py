"""What the desk says at its foot: short, true as long as it stands, and whole on request."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from app.desk.long_sentence import WholeSentence, in_lines, in_short, parts_of
from app.desk.message_bar import SHOWN_MS
from app.desk.window import DeskWindow

HEADER = "kind,code,start,end,leaning,weight,comment"


def bad_file(folder: Path, n_rows: int = 400) -> Path:
    path = folder / "bad.csv"
    path.write_text("\n".join([HEADER, *["phase,sculpt,5,2,,,"] * n_rows]) + "\n")
    return path


def button(desk: DeskWindow, words: str) -> QPushButton:
    found = [b for b in desk.message_bar.findChildren(QPushButton) if b.text() == words]
    return next(b for b in found if b.isVisible())


def test_a_sentence_that_lists_rows_is_taken_apart_and_told_in_short() -> None:
    sentence = "a.csv has 2 bad rows: line 2: x; y; line 7: z. Nothing was taken; mend it."
    assert parts_of(sentence) == (
        "a.csv has 2 bad rows",
        ["line 2: x; y", "line 7: z"],
        "Nothing was taken; mend it.",
    )
    assert in_short(sentence) == (
        "a.csv has 2 bad rows, first in line 2: x; y. Nothing was taken; mend it."
    )
    assert in_lines(sentence).splitlines() == [
        "a.csv has 2 bad rows:", "line 2: x; y", "line 7: z", "", "Nothing was taken; mend it.",
    ]  # fmt: skip
    assert in_short("All is well.") == in_lines("All is well.") == "All is well."


def test_four_hundred_bad_rows_leave_the_picture_its_room(
    reviewing: DeskWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    assert reviewing.review is not None
    before = reviewing.review.picture.height()
    reviewing.paperwork.read_tags(bad_file(tmp_path))
    bar = reviewing.message_bar
    qtbot.waitUntil(lambda: bar.isVisible() and bar.height() > 10)
    two_lines = 2 * bar.fontMetrics().lineSpacing() + 20
    assert bar.height() <= two_lines
    assert reviewing.review.picture.height() >= before - two_lines
    assert "400 bad rows" in " ".join(bar.line.lines)
    QTest.mouseClick(button(reviewing, "Show all"), Qt.MouseButton.LeftButton)
    (whole,) = reviewing.findChildren(WholeSentence)
    lines = whole.text.toPlainText().splitlines()
    assert sum(line.startswith("line ") for line in lines) == 100
    assert sum(line.startswith("also wrong are lines 102, ") for line in lines) == 1
    whole.copy()
    assert QGuiApplication.clipboard().text() == whole.text.toPlainText()
    whole.close()


def test_a_long_name_is_cut_on_two_lines_and_shown_whole_on_request(desk: DeskWindow) -> None:
    desk.resize(960, 540)
    desk.message_bar.say_trouble("something " * 120)
    assert len(desk.message_bar.line.lines) == 2
    assert desk.message_bar.line.lines[-1].endswith("…")
    assert button(desk, "Show all").isEnabled()


def test_good_news_goes_by_itself_and_trouble_waits_to_be_closed(desk: DeskWindow) -> None:
    bar = desk.message_bar
    bar.say("Done.")
    assert bar.is_fading
    assert bar._timer.interval() == SHOWN_MS
    bar._timer.timeout.emit()
    assert not bar.words
    bar.say_trouble("It went wrong.")
    assert not bar.is_fading
    QTest.mouseClick(button(desk, "Close"), Qt.MouseButton.LeftButton)
    assert not bar.words
    assert not bar.isVisible()


def test_a_message_goes_with_its_screen(desk: DeskWindow, qtbot: QtBot) -> None:
    desk.message_bar.say_trouble("This was about the list.")
    desk.open_case("R-07-003")
    assert not desk.message_bar.words
    desk.message_bar.say_trouble("This was about the case.")
    desk.show_caseload()
    assert not desk.message_bar.words


def test_what_was_refused_is_forgotten_with_the_next_edit(reviewing: DeskWindow) -> None:
    assert reviewing.review is not None
    presenter = reviewing.review.presenter
    presenter.said.tell("That could not be.")
    assert reviewing.message_bar.words == "That could not be."
    presenter.press_hand_over()
    assert presenter.markup.tags
    assert not reviewing.message_bar.words


def test_the_written_note_can_be_opened_from_the_bar(
    reviewing: DeskWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    reviewing.paperwork.hand_back(tmp_path / "note.md")
    qtbot.waitUntil(lambda: "note.md" in reviewing.message_bar.words, timeout=60_000)
    assert [b.text() for b in reviewing.message_bar.deeds] == ["Open the note", "Show the folder"]
    assert reviewing.message_bar.is_fading


def test_what_was_refused_stands_while_a_running_phase_grows(reviewing: DeskWindow) -> None:
    presenter = reviewing.review.presenter  # type: ignore[union-attr]
    presenter.press_key(presenter.vocabulary.phases[0].key)
    presenter.said.tell("This cannot be.")
    presenter.markup_changed.tell()  # as four times a second while it runs
    assert reviewing.message_bar.words == "This cannot be."
    presenter.press_hand_over()
    assert reviewing.message_bar.words != "This cannot be."
