"""The editor of words in the real window, by keys."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from desk_driving import view_of
from desk_scenes import VOCABULARY, S, opened, tag_only_case
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDialog, QMessageBox
from pytestqt.qtbot import QtBot

from annotate.ids import RowId, new_id
from annotate.people import Reviewer
from annotate.tags import Tag, TagKind
from annotate.vocabulary_file import load_vocabulary, shipped_vocabulary
from app.caseload.intake_dialog import IntakeDialog
from app.desk.ask import LineDialog
from app.desk.window import DeskWindow
from app.places import vocabularies_folder
from app.settings import Settings
from app.vocabulary.choice import VocabularyChoice
from app.vocabulary.view import VocabularyDialog
from store import Put, Store

NONE, SHIFT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier
CONTROL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with opened(tmp_path) as made:
        case = made.take_in(tag_only_case(), "A-01")
        session = made.start_session(case.id, Reviewer("A-01"))
        tag = Tag(RowId(new_id()), session.id, TagKind.PHASE, "sculpt", 10 * S, 30 * S)
        made.edit(session.id, "tagged", "A-01", Put(tag))
        yield made


@pytest.fixture
def desk(qtbot: QtBot, store: Store) -> Iterator[DeskWindow]:
    settings = Settings(reviewer="A-01", is_hint_read=True, is_reviewer_asked=True)
    window = DeskWindow(store, settings, keeps_settings=False)
    qtbot.addWidget(window)
    window.resize(1024, 640)
    window.show()
    window.activateWindow()
    yield window
    window.close()


def editor(desk: DeskWindow, qtbot: QtBot) -> VocabularyDialog:
    def seen() -> list[VocabularyDialog]:
        return [d for d in desk.findChildren(VocabularyDialog) if d.isVisible()]

    qtbot.waitUntil(lambda: bool(seen()) and seen()[0].isActiveWindow())
    return seen()[0]


def question(over: QDialog) -> QMessageBox:
    return next(box for box in over.findChildren(QMessageBox) if box.isVisible())


def key(dialog: QDialog, which: Qt.Key, modifiers: Qt.KeyboardModifier = NONE) -> None:
    QTest.keyClick(dialog.focusWidget() or dialog, which, modifiers)


def in_review(desk: DeskWindow, qtbot: QtBot) -> VocabularyDialog:
    desk.open_case("R-07-003")
    qtbot.waitUntil(desk.isActiveWindow)
    QTest.keyClick(desk, Qt.Key.Key_V, CONTROL | SHIFT)
    return editor(desk, qtbot)


def test_a_phase_is_removed_and_the_review_goes_on(desk: DeskWindow, qtbot: QtBot) -> None:
    dialog = in_review(desk, qtbot)
    for _ in range(4):
        key(dialog, Qt.Key.Key_Down)
    assert dialog.form.label.text() == "Sculpting"
    assert not dialog.form.code.isEnabled()  # a review has it
    key(dialog, Qt.Key.Key_Delete)
    box = question(dialog)
    assert "1 review has 'Sculpting'" in box.informativeText()
    QTest.keyClick(box, Qt.Key.Key_Return)
    assert dialog.form.label.text() == "Cracking"
    QTest.keyClick(dialog.focusWidget() or dialog, Qt.Key.Key_Return, CONTROL)
    qtbot.waitUntil(lambda: not dialog.isVisible())
    written = load_vocabulary(vocabularies_folder() / f"{VOCABULARY}.toml")
    shipped = shipped_vocabulary(VOCABULARY)
    assert written == replace(
        shipped,
        version="4",
        phases=tuple(term for term in shipped.phases if term.code != "sculpt"),
    )
    view = view_of(desk)
    assert view.presenter.vocabulary.version == "4"
    assert view.pad.gone.text() == "No longer in the list: Sculpting 0:20"
    assert view.pad.gone.isVisible()
    view.presenter.choose(view.presenter.markup.tags[0].id)
    assert view.presenter.place_words().endswith("Sculpting")
    assert view.timeline.lanes.content().labels["sculpt"] == "Sculpting"
    QTest.keyClick(view, Qt.Key.Key_5)  # its key is nobody's now
    assert len(view.presenter.markup.tags) == 1


def test_a_new_event_by_keys_with_faults_told_as_one_types(desk: DeskWindow, qtbot: QtBot) -> None:
    dialog = in_review(desk, qtbot)
    dialog.lists.adding["event"].setFocus()
    key(dialog, Qt.Key.Key_Space)
    form = dialog.form
    assert form.label.hasFocus()
    assert form.fields["label"].trouble.isVisible()
    QTest.keyClicks(form.label, "Eye moved")
    assert not form.fields["label"].trouble.isVisible()
    assert form.code.text() == "eye-moved"
    key(dialog, Qt.Key.Key_Tab)
    key(dialog, Qt.Key.Key_Tab)
    assert form.keys.hasFocus()
    QTest.keyClick(form.keys, Qt.Key.Key_1)
    assert form.fields["key"].trouble.text() == "The phase 'Incision' has this key already."
    assert not dialog.keep.isEnabled()
    QTest.keyClick(form.keys, Qt.Key.Key_9)
    assert not form.fields["key"].trouble.isVisible()
    form.good.setFocus()
    QTest.keyClicks(form.good, "The eye lies still.")
    assert dialog.keep.isEnabled()
    assert dialog.state.text() == "Changed. 'Keep' makes version 4."
    key(dialog, Qt.Key.Key_Z, CONTROL)  # all that was typed in this field
    assert form.good.text() == ""
    key(dialog, Qt.Key.Key_Z, CONTROL | SHIFT)
    assert form.good.text() == "The eye lies still."
    dialog.keep.click()
    QTest.keyClick(view_of(desk), Qt.Key.Key_9)
    assert [tag.code for tag in view_of(desk).presenter.markup.tags] == ["eye-moved", "sculpt"]


def test_leaving_asks_and_drops(desk: DeskWindow, qtbot: QtBot) -> None:
    dialog = in_review(desk, qtbot)
    key(dialog, Qt.Key.Key_Down, ALT)
    assert dialog.presenter.draft.phase[1].code == "incision"
    key(dialog, Qt.Key.Key_Escape)
    box = question(dialog)
    assert dialog.isVisible()
    next(b for b in box.buttons() if b.text() == "Drop the changes").click()
    qtbot.waitUntil(lambda: not dialog.isVisible())
    assert not vocabularies_folder().exists()


def test_from_the_caseload_one_is_chosen_and_copied(desk: DeskWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(desk.isActiveWindow)
    QTest.keyClick(desk, Qt.Key.Key_V, CONTROL | SHIFT)
    choice = desk.findChild(VocabularyChoice)
    assert choice is not None
    choice.list.setCurrentRow(4)
    choice.copy.click()
    line = choice.findChild(LineDialog)
    assert line is not None
    qtbot.waitUntil(line.isActiveWindow)
    QTest.keyClicks(line.line, "Our small incision")
    assert line.line.hasFocus()
    QTest.keyClick(line.line, Qt.Key.Key_Return)
    dialog = editor(desk, qtbot)
    assert dialog.title.text() == "Our small incision"
    dialog.keep.click()
    written = load_vocabulary(vocabularies_folder() / "our-small-incision.toml")
    assert written.phases == shipped_vocabulary("sics").phases
    assert written.version == "1"
    desk.taking_in.ask()
    intake = desk.findChild(IntakeDialog)
    assert intake is not None
    assert intake.vocabulary.findText("Our small incision") >= 0
    intake.close()


def test_nothing_is_clipped_in_the_smallest_room(desk: DeskWindow, qtbot: QtBot) -> None:
    dialog = in_review(desk, qtbot)
    dialog.resize(994, 580)
    dialog.lists.choose("phase", 4)
    qtbot.waitUntil(lambda: dialog.form.keys.isVisible() and dialog.height() <= 580)
    keys = dialog.form.keys
    assert keys.width() >= keys.minimumSizeHint().width()
    for widget in (dialog.keep, dialog.leave, dialog.undo, dialog.state):
        assert dialog.rect().contains(widget.mapTo(dialog, widget.rect().bottomRight()))
