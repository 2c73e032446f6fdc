"""A case goes in through the dialog, which keeps what was entered until it has gone in."""

from __future__ import annotations

from pathlib import Path

from dicom_clips import wrap
from hypothesis import given
from hypothesis import strategies as st
from numbered_clips import make_clip
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.caseload.clip_list import ANY_FILES, VIDEO_FILES, in_natural_order
from app.caseload.intake_dialog import IntakeDialog
from app.desk.window import DeskWindow


def asked(desk: DeskWindow) -> IntakeDialog:
    desk.ask_take_in()
    dialog = desk.findChildren(IntakeDialog)[-1]
    assert dialog.isVisible()
    return dialog


def filled(desk: DeskWindow, clip: Path, operator: str = "R-07") -> IntakeDialog:
    dialog = asked(desk)
    dialog.add_files([str(clip)])
    QTest.keyClicks(dialog.operator, operator)
    dialog.operator.editingFinished.emit()
    return dialog


def new_clip(folder: Path, first_number: int = 500) -> Path:
    clip = folder / "new.mp4"
    make_clip(clip, n_frames=40, first_number=first_number)
    return clip


def waited(desk: DeskWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: desk.background.current is None, timeout=30_000)


def test_a_case_is_taken_in_and_the_dialog_closes(
    desk: DeskWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    dialog = filled(desk, new_clip(tmp_path))
    assert dialog.number.value() == 4
    dialog.submit()
    assert dialog.isVisible()
    assert dialog.foot.is_following
    qtbot.waitUntil(lambda: "R-07-004" in desk.caseload.presenter.codes, timeout=30_000)
    assert desk.message_bar.words == "Case R-07-004 is taken in."
    waited(desk, qtbot)
    assert desk.store.case("R-07-004").clips[0].full_hash
    assert not [d for d in desk.findChildren(IntakeDialog) if d.isVisible()]


def test_each_field_that_lacks_something_is_said_and_gets_the_keys(
    desk: DeskWindow, tmp_path: Path
) -> None:
    dialog = asked(desk)
    dialog.submit()
    assert dialog.trouble.startswith("No clip is named.")
    dialog.add_files([str(new_clip(tmp_path))])
    assert dialog.trouble == ""
    dialog.submit()
    assert dialog.trouble == "Say who operated, as a code such as R-07."
    assert dialog.focusWidget() is dialog.operator
    QTest.keyClicks(dialog.operator, "not a code!")
    assert dialog.trouble == ""
    dialog.submit()
    assert "cannot be the operator" in dialog.trouble
    dialog.operator.setText("R-88")
    dialog.submit()
    assert dialog.trouble == "Choose the training level of R-88."
    assert dialog.focusWidget() is dialog.level


def test_the_form_does_not_jump_when_something_is_said(desk: DeskWindow) -> None:
    dialog = asked(desk)
    height, place = dialog.height(), dialog.take_in.pos()
    dialog.submit()
    assert dialog.trouble
    assert (dialog.height(), dialog.take_in.pos()) == (height, place)


def test_a_known_operator_brings_level_and_number_along(desk: DeskWindow) -> None:
    dialog = asked(desk)
    assert dialog.level.currentText() == "choose ..."
    QTest.keyClicks(dialog.operator, "R-07")
    dialog.operator.editingFinished.emit()
    assert (dialog.level.currentText(), dialog.number.value()) == ("resident", 4)


def test_a_bad_file_leaves_the_form_as_it_was_and_marks_its_row(
    desk: DeskWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    fake = tmp_path / "notes.mp4"
    fake.write_text("these are notes")
    dialog = filled(desk, new_clip(tmp_path), "R-41")
    dialog.add_files([str(fake)])
    dialog.level.setCurrentIndex(dialog.level.findText("fellow"))
    QTest.keyClicks(dialog.code, "X-1")
    before = dialog.wanted()
    dialog.submit()
    qtbot.waitUntil(lambda: "notes.mp4" in dialog.trouble, timeout=30_000)
    assert dialog.isVisible()
    assert dialog.wanted() == before
    assert dialog.clips.marked == ["notes.mp4"]
    dialog.clips.files.setCurrentRow(1)
    QTest.mouseClick(dialog.clips.away, Qt.MouseButton.LeftButton)
    assert dialog.trouble == ""
    dialog.submit()
    qtbot.waitUntil(lambda: "X-1" in desk.caseload.presenter.codes, timeout=30_000)
    waited(desk, qtbot)


def test_a_code_that_is_taken_is_said_before_any_clip_is_read(
    desk: DeskWindow, tmp_path: Path
) -> None:
    dialog = filled(desk, new_clip(tmp_path))
    dialog.number.set_value(3)
    dialog.submit()
    assert dialog.trouble.startswith("There is a case R-07-003 already.")
    assert not dialog.foot.is_following
    assert dialog.focusWidget() is dialog.code


def test_a_clip_of_another_case_is_marked(
    desk: DeskWindow, qtbot: QtBot, clips: list[Path]
) -> None:
    dialog = filled(desk, clips[1])
    dialog.submit()
    qtbot.waitUntil(lambda: "belongs to case R-07-003" in dialog.trouble, timeout=30_000)
    assert dialog.clips.marked == ["part2.mp4"]
    assert desk.caseload.presenter.codes == {"R-07-003"}


def test_stopping_takes_nothing_in_and_keeps_the_form(
    desk: DeskWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    dialog = filled(desk, new_clip(tmp_path))
    dialog.submit()
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert dialog.isVisible()
    assert dialog.trouble == "Stopped. Nothing was taken in."
    waited(desk, qtbot)
    assert {row.case.code for row in desk.store.cases()} == {"R-07-003"}
    assert dialog.operator.text() == "R-07"
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert not dialog.isVisible()


def test_clips_come_in_natural_order_and_can_be_moved_both_ways(desk: DeskWindow) -> None:
    dialog = asked(desk)
    dialog.add_files(["/x/part10.mp4", "/x/part2.mp4", "/x/Part1.mp4"])
    names = [path.name for path in dialog.clips.paths]
    assert names == ["Part1.mp4", "part2.mp4", "part10.mp4"]
    dialog.clips.files.setCurrentRow(0)
    assert not dialog.clips.earlier.isEnabled()
    QTest.mouseClick(dialog.clips.later, Qt.MouseButton.LeftButton)
    assert [path.name for path in dialog.clips.paths] == ["part2.mp4", "Part1.mp4", "part10.mp4"]
    QTest.mouseClick(dialog.clips.earlier, Qt.MouseButton.LeftButton)
    assert [path.name for path in dialog.clips.paths] == names


@given(st.permutations(list(range(0, 130, 7))))
def test_numbers_in_names_sort_as_numbers(order: list[int]) -> None:
    names = [f"/x/case-{n}.mp4" for n in order]
    assert in_natural_order(names) == [f"/x/case-{n}.mp4" for n in sorted(order)]


def test_a_dicom_file_goes_in_and_is_said_to_name_its_patient(
    desk: DeskWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    wrap(new_clip(tmp_path), tmp_path / "IM000001", 2)
    filled(desk, tmp_path / "IM000001").submit()
    qtbot.waitUntil(lambda: "R-07-004" in desk.caseload.presenter.codes, timeout=30_000)
    assert desk.message_bar.words.startswith("Case R-07-004 is taken in. The file is DICOM")
    assert "keep such files as patients' records" in desk.message_bar.words
    waited(desk, qtbot)
    assert desk.store.case("R-07-004").clips[0].n_frames == 40


def test_the_chooser_offers_dicom_files_with_and_without_an_ending() -> None:
    assert "*.dcm" in VIDEO_FILES
    assert ANY_FILES.endswith("(*)")
