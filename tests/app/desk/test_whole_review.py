"""A whole review by keys alone: a clip goes in, a signed note and the tags come out.

Nothing is called but keys are pressed; what there is to see afterwards is read from the store and
from the files.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from desk_driving import view_of
from numbered_clips import make_clip
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from annotate.case import SessionStatus
from annotate.marks import MarkKind
from annotate.tagfile import read_rows
from annotate.tags import TagKind
from app.caseload.intake_dialog import IntakeDialog
from app.desk.hand_back_dialog import HandBackDialog
from app.desk.window import DeskWindow
from app.main import main
from metrics.document import figures_document
from metrics.from_tags import figures
from store import Store

LONG_MS = 60_000
CONTROL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
ALT, PLAIN = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.NoModifier
CODE = "R-31-005"


def key(where: QWidget, pressed: Qt.Key | str, held: Qt.KeyboardModifier = PLAIN) -> None:
    """Press a key where the keys go just now."""
    target = where.focusWidget() or where
    if isinstance(pressed, str):
        QTest.keyClicks(target, pressed, held)
    else:
        QTest.keyClick(target, pressed, held)


def tab_to(window: QWidget, wanted: QWidget) -> None:
    """Tab until a field has the keys."""
    for _ in range(40):
        if window.focusWidget() is wanted:
            return
        key(window, Qt.Key.Key_Tab)
    raise AssertionError(f"Tab never comes to {wanted.accessibleName() or wanted}")


def opened(kind: type[QWidget], qtbot: QtBot) -> QWidget:
    """The window of a kind that has come up."""

    def found() -> list[QWidget]:
        return [w for w in QApplication.topLevelWidgets() if isinstance(w, kind) and w.isVisible()]

    qtbot.waitUntil(lambda: bool(found()), timeout=LONG_MS)
    return found()[-1]


def activate(window: QWidget, qtbot: QtBot) -> None:
    """Do what a window manager does when the dialog over a window has gone."""
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow, timeout=LONG_MS)


def name_file(path: Path, qtbot: QtBot) -> None:
    """Name a file to the dialog that asks for one; on a desk it is the system's own dialog."""
    dialog = opened(QFileDialog, qtbot)
    assert isinstance(dialog, QFileDialog)
    dialog.setDirectory(str(path.parent))
    dialog.selectFile(path.name)
    qtbot.waitUntil(lambda: dialog.selectedFiles() == [str(path)], timeout=LONG_MS)
    dialog.accept()
    qtbot.waitUntil(lambda: not dialog.isVisible(), timeout=LONG_MS)


def choose_in_menu(desk: DeskWindow, action_id: str) -> None:
    """Open the menu that holds an action by keys, and go down to it."""
    wanted = desk.actions_table[action_id]
    for heading in desk.menuBar().actions():
        menu = heading.menu()
        if menu is None or wanted not in menu.actions():
            continue
        desk.menuBar().setActiveAction(heading)
        for _ in range(len(menu.actions()) + 1):
            if menu.activeAction() is wanted:
                break
            QTest.keyClick(menu, Qt.Key.Key_Down)
        QTest.keyClick(menu, Qt.Key.Key_Return)
        return
    raise AssertionError(f"no menu has {action_id}")


def take_in_by_keys(desk: DeskWindow, clip: Path, qtbot: QtBot) -> None:
    key(desk, Qt.Key.Key_N, CONTROL)
    dialog = opened(IntakeDialog, qtbot)
    assert isinstance(dialog, IntakeDialog)
    tab_to(dialog, dialog.clips.add_button)
    key(dialog, Qt.Key.Key_Space)
    name_file(clip, qtbot)
    activate(dialog, qtbot)
    tab_to(dialog, dialog.operator)
    key(dialog, "R-31")
    tab_to(dialog, dialog.level)
    key(dialog, Qt.Key.Key_Down)
    tab_to(dialog, dialog.number)
    dialog.number.selectAll()
    key(dialog, "5")
    key(dialog, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: CODE in desk.caseload.presenter.codes, timeout=LONG_MS)
    qtbot.waitUntil(lambda: desk.background.current is None, timeout=LONG_MS)


def second_on(desk: DeskWindow, qtbot: QtBot) -> None:
    """A second on, and its picture is there."""
    view = view_of(desk)
    key(desk, Qt.Key.Key_Right, SHIFT)
    qtbot.waitUntil(lambda: view.picture.shown_number == view.player.number, timeout=LONG_MS)


def type_comment(desk: DeskWindow, n: int, qtbot: QtBot) -> None:
    view = view_of(desk)
    before = len(view.presenter.markup.comments)
    key(desk, Qt.Key.Key_Return)
    qtbot.waitUntil(view.comment_box.text.hasFocus)
    key(desk, f"Comment {n}: rest the second hand.")
    key(desk, Qt.Key.Key_Return)
    assert len(view.presenter.markup.comments) == before + 1


def tag_everything(desk: DeskWindow, qtbot: QtBot) -> None:
    """Every phase, an event in each, ten comments, two marks, a hand-over."""
    view = view_of(desk)
    events = view.presenter.vocabulary.events
    for n, phase in enumerate(view.presenter.vocabulary.phases):
        key(desk, phase.key)
        second_on(desk, qtbot)
        key(desk, events[n].key)
        if n < 10:
            type_comment(desk, n, qtbot)
    key(desk, view.presenter.vocabulary.phases[-1].key)
    key(desk, Qt.Key.Key_1, ALT)
    key(desk, Qt.Key.Key_Return, ALT)
    key(desk, Qt.Key.Key_Escape)
    key(desk, Qt.Key.Key_2, ALT)
    key(desk, Qt.Key.Key_Return, ALT)
    key(desk, Qt.Key.Key_Escape)
    key(desk, Qt.Key.Key_H)
    second_on(desk, qtbot)
    key(desk, Qt.Key.Key_H)


@pytest.mark.qt_log_ignore("does not support grabbing the keyboard", extend=True)
def test_a_whole_review_by_keys_alone(
    desk: DeskWindow,
    store: Store,
    qtbot: QtBot,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    clip = tmp_path / "case.mp4"
    make_clip(clip, n_frames=480, fps=24, first_number=3000)
    take_in_by_keys(desk, clip, qtbot)
    activate(desk, qtbot)
    desk.caseload.choose(CODE)
    key(desk, Qt.Key.Key_Return, CONTROL)
    qtbot.waitUntil(
        lambda: desk.review is not None and desk.review.picture.shown_number == 0, timeout=LONG_MS
    )
    view = view_of(desk)
    presenter = view.presenter
    assert presenter.case.code == CODE

    activate(desk, qtbot)
    tag_everything(desk, qtbot)
    whole = presenter.markup
    phases = [tag.code for tag in whole.tags if tag.kind is TagKind.PHASE]
    assert sorted(phases) == sorted(presenter.vocabulary.phase_codes)
    assert len(whole.comments) == 10
    assert {mark.kind for mark in whole.marks} == {MarkKind.ARROW, MarkKind.RING}

    n_steps = 0
    while presenter.undo_words is not None:
        key(desk, Qt.Key.Key_Z, CONTROL)
        n_steps += 1
    assert presenter.markup == store.markup(presenter.session.id)
    assert (presenter.markup.tags, presenter.markup.comments, presenter.markup.marks) == ((),) * 3
    for _ in range(n_steps):
        key(desk, Qt.Key.Key_Z, CONTROL | SHIFT)
    assert presenter.redo_words is None
    assert presenter.markup == whole == store.markup(presenter.session.id)

    choose_in_menu(desk, "sign")
    question = opened(QMessageBox, qtbot)
    tab_to(question, next(b for b in question.buttons() if b.text().endswith("Sign")))  # type: ignore[attr-defined]
    key(question, Qt.Key.Key_Space)
    activate(desk, qtbot)
    qtbot.waitUntil(lambda: presenter.session.status is SessionStatus.SIGNED, timeout=LONG_MS)
    assert store.is_as_signed(presenter.session.id) is True

    key(desk, Qt.Key.Key_E, CONTROL)
    look = opened(HandBackDialog, qtbot)
    assert isinstance(look, HandBackDialog)
    tab_to(look, look.kinds)
    key(look, Qt.Key.Key_Down)
    assert look.kind == "html"
    key(look, Qt.Key.Key_Return)
    note = tmp_path / "note.html"
    name_file(note, qtbot)
    qtbot.waitUntil(note.exists, timeout=LONG_MS)
    assert "Comment 7: rest the second hand." in note.read_text(encoding="utf-8")
    activate(desk, qtbot)
    choose_in_menu(desk, "write-tags")
    tags = tmp_path / "tags.csv"
    name_file(tags, qtbot)
    qtbot.waitUntil(tags.exists, timeout=LONG_MS)
    rows = read_rows(tags, presenter.vocabulary, presenter.length_us)
    assert len(rows) == len(whole.tags) + len(whole.comments)

    expected = figures_document(figures(whole.tags, presenter.vocabulary))
    desk.show_caseload()
    qtbot.waitUntil(lambda: desk.background.current is None, timeout=LONG_MS)
    capsys.readouterr()
    assert main(["--store", str(store.path), "--json", "figures", CODE]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {name: told[name] for name in expected} == json.loads(json.dumps(expected))
