"""Handing back in the real window: a last look, then where to, beginning where it was last."""

from __future__ import annotations

from pathlib import Path

from desk_driving import CONTROL, view_of
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from annotate.case import SessionStatus
from annotate.tags import Leaning
from app.desk.hand_back_dialog import HandBackDialog
from app.desk.window import DeskWindow
from app.places import documents_folder


def look(desk: DeskWindow, qtbot: QtBot) -> HandBackDialog:
    found = seen(desk, HandBackDialog, qtbot)
    assert isinstance(found, HandBackDialog)
    return found


def seen(desk: DeskWindow, kind: type[QWidget], qtbot: QtBot) -> QWidget:
    def shown() -> list[QWidget]:
        return [d for d in desk.findChildren(kind) if d.isVisible()]

    qtbot.waitUntil(lambda: bool(shown()), timeout=20_000)
    return shown()[-1]


def asked(desk: DeskWindow, qtbot: QtBot) -> QFileDialog:
    desk.act("hand-back")
    QTest.keyClick(look(desk, qtbot).go_on, Qt.Key.Key_Return)
    chooser = seen(desk, QFileDialog, qtbot)
    assert isinstance(chooser, QFileDialog)
    return chooser


def test_nothing_is_asked_or_written_before_the_last_look(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view_of(reviewing).presenter.keep_comment("As it was typed", 0, Leaning.CORRECT)
    QTest.keyClick(reviewing.focusWidget() or reviewing, Qt.Key.Key_E, CONTROL)
    dialog = look(reviewing, qtbot)
    assert not reviewing.findChildren(QFileDialog)
    assert "As it was typed" in dialog.typed.text()
    assert dialog.goes_out.text().startswith("1 comment; 1 still")
    dialog.kinds.setCurrentIndex(dialog.kinds.findData("srt"))
    assert dialog.goes_out.text().startswith("1 subtitle:")
    assert dialog.stills.text() == "No picture goes out."
    dialog.reject()


def test_a_draft_can_be_signed_first_and_the_look_comes_back(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    presenter = view_of(reviewing).presenter
    presenter.keep_comment("Well held", 0, Leaning.COMMEND)
    reviewing.act("hand-back")
    look(reviewing, qtbot).sign.click()
    question = seen(reviewing, QMessageBox, qtbot)
    assert isinstance(question, QMessageBox)
    next(b for b in question.buttons() if b.text().endswith("Sign")).click()
    qtbot.waitUntil(lambda: presenter.session.status is SessionStatus.SIGNED)
    again = look(reviewing, qtbot)
    assert not again.sign.isVisible()
    assert presenter.session.content_hash[:8] in dict(again._look.facts)["State"]
    again.reject()


def test_the_next_note_begins_where_the_last_one_went(
    reviewing: DeskWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    chooser = asked(reviewing, qtbot)
    assert Path(chooser.directory().absolutePath()) == documents_folder()
    chooser.reject()
    target = tmp_path / "notes" / "one.md"
    target.parent.mkdir()
    reviewing.paperwork.hand_back(target)
    qtbot.waitUntil(target.exists, timeout=60_000)
    qtbot.waitUntil(lambda: reviewing.settings.handed_back_to == str(target.parent))
    chooser.deleteLater()
    again = asked(reviewing, qtbot)
    assert Path(again.directory().absolutePath()) == target.parent
    again.reject()
