"""What the desk asks: who reviews, whether to sign, where a clip is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from numbered_clips import make_clip
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from annotate.people import Reviewer
from app.caseload.intake_dialog import IntakeDialog
from app.desk.ask import LineDialog
from app.desk.window import DeskWindow
from app.settings import Settings
from store import Store


@pytest.fixture
def plain_desk(qtbot: QtBot, store: Store) -> Iterator[DeskWindow]:
    """A desk on which nobody has said who reviews."""
    window = DeskWindow(store, Settings(), keeps_settings=False)
    qtbot.addWidget(window)
    window.show()
    yield window
    window.close()


@pytest.fixture
def moved(clips: list[Path]) -> Iterator[Path]:
    """The first clip is elsewhere; gives where."""
    place = clips[0].parent / "elsewhere"
    place.mkdir(exist_ok=True)
    clips[0].rename(place / clips[0].name)
    yield place / clips[0].name
    (place / clips[0].name).rename(clips[0])


def line_dialog(desk: DeskWindow) -> LineDialog:
    return next(d for d in desk.findChildren(LineDialog) if d.isVisible())


def question(desk: DeskWindow) -> QMessageBox:
    return next(box for box in desk.findChildren(QMessageBox) if box.isVisible())


def press(box: QMessageBox, words: str) -> None:
    button = next(b for b in box.buttons() if b.text() == words)
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)


def test_who_reviews_is_asked_once_before_the_first_case(plain_desk: DeskWindow) -> None:
    plain_desk.open_case("R-07-003")
    assert plain_desk.review is None
    dialog = line_dialog(plain_desk)
    QTest.keyClicks(dialog.line, "A-09")
    QTest.mouseClick(dialog.yes, Qt.MouseButton.LeftButton)
    assert plain_desk.settings.reviewer == "A-09"
    assert plain_desk.review is not None
    assert plain_desk.review.presenter.session.reviewer.code == "A-09"
    plain_desk.show_caseload()
    plain_desk.open_case("R-07-003")
    assert not [d for d in plain_desk.findChildren(LineDialog) if d.isVisible()]


def test_later_keeps_the_plain_reviewer_and_is_not_asked_again(plain_desk: DeskWindow) -> None:
    plain_desk.ask_take_in()
    QTest.keyClick(line_dialog(plain_desk), Qt.Key.Key_Escape)
    assert plain_desk.settings.reviewer == "reviewer"
    (intake,) = plain_desk.findChildren(IntakeDialog)
    assert intake.isVisible()
    intake.reject()
    plain_desk.open_case("R-07-003")
    assert plain_desk.review is not None


def test_a_refusal_is_shown_whole_and_goes_with_the_next_key(desk: DeskWindow) -> None:
    desk.act("me")
    dialog = line_dialog(desk)
    dialog.line.setText("a name with blanks " * 3)
    dialog.submit()
    assert "Use a code such as R-07" in dialog.trouble.text()
    dialog.layout().activate()
    needed = dialog.trouble.heightForWidth(dialog.trouble.width())
    assert dialog.trouble.height() >= needed > dialog.fontMetrics().lineSpacing()
    assert desk.settings.reviewer == "A-01"
    QTest.keyClicks(dialog.line, "A")
    assert not dialog.trouble.isVisible()


def test_signing_says_what_is_there_and_leaving_it_is_the_default(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    assert reviewing.review is not None
    view, presenter = reviewing.review, reviewing.review.presenter
    keys = {term.code: term.key for term in presenter.vocabulary.phases}
    left_out = "closure"
    for n, code in enumerate(code for code in keys if code != left_out):
        view.go_to_number(5 + n * 5)
        qtbot.waitUntil(lambda n=n: view.picture.shown_number == 5 + n * 5, timeout=20_000)
        presenter.press_key(keys[code])
    reviewing.act("sign")
    box = question(reviewing)
    assert box.text() == (
        f"Sign your review of R-07-003? {len(keys) - 1} tags, 0 comments; Closure is not tagged."
    )
    assert box.defaultButton().text() == "Leave it"
    press(box, "Leave it")
    assert not presenter.is_signed
    reviewing.act("sign")
    press(question(reviewing), "Sign")
    assert presenter.is_signed
    assert not reviewing.actions_table["sign"].isEnabled()


def test_another_reviewers_session_cannot_be_signed(desk: DeskWindow, store: Store) -> None:
    case = store.case("R-07-003")
    store.start_session(case.id, Reviewer("A-02"))
    desk.open_case("R-07-003", "A-02")
    assert not desk.actions_table["sign"].isEnabled()
    desk.act("sign")
    assert not [b for b in desk.findChildren(QMessageBox) if b.isVisible()]


def test_a_wrong_choice_is_said_in_the_question_and_the_picture_can_be_left_out(
    desk: DeskWindow, tmp_path: Path, moved: Path
) -> None:
    desk.open_case("R-07-003")
    assert "part1.mp4 is not where it was" in question(desk).text()
    press(question(desk), "Show where it is")
    (chooser,) = [d for d in desk.findChildren(QFileDialog) if d.isVisible()]
    assert Path(chooser.directory().absolutePath()) == moved.parent.parent
    other = tmp_path / "other.mp4"
    make_clip(other, n_frames=30, first_number=900)
    chooser.fileSelected.emit(str(other))
    chooser.close()
    assert "other.mp4 is another recording" in question(desk).text()
    press(question(desk), "Open the other parts")
    assert desk.review is not None
    assert desk.review.picture.shown_number is None


def test_a_clip_that_was_moved_is_opened_once_it_is_shown(
    desk: DeskWindow, qtbot: QtBot, moved: Path, store: Store
) -> None:
    desk.open_case("R-07-003")
    press(question(desk), "Show where it is")
    (chooser,) = [d for d in desk.findChildren(QFileDialog) if d.isVisible()]
    chooser.fileSelected.emit(str(moved))
    chooser.close()
    assert desk.review is not None
    assert store.case("R-07-003").clips[0].path == str(moved)
    qtbot.waitUntil(
        lambda: desk.review is not None and desk.review.picture.shown_number == 0, timeout=20_000
    )


@pytest.mark.parametrize("is_maximised", [True, False])
def test_full_screen_gives_the_window_back_as_it_was(desk: DeskWindow, is_maximised: bool) -> None:
    if is_maximised:
        desk.showMaximized()
    desk.act("full-screen")
    assert desk.isFullScreen()
    desk.act("full-screen")
    assert (desk.isFullScreen(), desk.isMaximized()) == (False, is_maximised)


def test_escape_leaves_full_screen_once_nothing_else_wants_it(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    reviewing.act("full-screen")
    QTest.keyClick(reviewing.review, Qt.Key.Key_Escape)
    assert not reviewing.isFullScreen()
    reviewing.show_caseload()
    reviewing.act("full-screen")
    search = reviewing.caseload.search
    search.setText("r-07")
    QTest.keyClick(search, Qt.Key.Key_Escape)
    assert (search.text(), reviewing.isFullScreen()) == ("", True)
    QTest.keyClick(search, Qt.Key.Key_Escape)
    assert not reviewing.isFullScreen()
    assert QApplication.activeModalWidget() is None


def test_settings_of_before_are_read_and_a_new_one_has_its_default(tmp_path: Path) -> None:
    from app.settings import load_settings, save_settings

    path = tmp_path / "settings.toml"
    path.write_text('reviewer = "A-01"\nis_hint_read = true\n')
    read = load_settings(path)
    assert (read.reviewer, read.is_hint_read, read.is_reviewer_asked) == ("A-01", True, False)
    save_settings(replace(read, is_reviewer_asked=True), path)
    assert load_settings(path).is_reviewer_asked
