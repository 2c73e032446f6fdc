"""The list of cases in a real window."""

from __future__ import annotations

from pathlib import Path

from desk_scenes import tag_only_case
from numbered_clips import make_clip
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.caseload.table import CODE, NUMBER
from app.desk.start import make_application
from app.desk.window import DeskWindow
from app.settings import Settings
from store import Store, open_store


def codes(desk: DeskWindow) -> list[str]:
    shown = desk.caseload.filter
    return [str(shown.index(row, CODE).data()).split("\n")[0] for row in range(shown.rowCount())]


def more_cases(store: Store) -> None:
    from dataclasses import replace

    from annotate.ids import CaseId, new_id

    for number in (12, 5, 30):
        made = tag_only_case(f"R-09-{number:03d}")
        store.take_in(replace(made, id=CaseId(new_id()), case_number=number), "A-01")


def test_an_empty_caseload_says_what_to_do(qtbot: QtBot, tmp_path: Path) -> None:
    make_application("dark")
    with open_store(tmp_path / "empty.sqlite") as store:
        window = DeskWindow(store, Settings(), keeps_settings=False)
        qtbot.addWidget(window)
        window.show()
        assert window.caseload.stack.currentIndex() == 1
        window.close()


def test_typing_narrows_the_list_to_cases_with_every_word(desk: DeskWindow, store: Store) -> None:
    more_cases(store)
    desk.caseload.look_again()
    assert len(codes(desk)) == 4
    QTest.keyClicks(desk.caseload.search, "r-09 30")
    assert codes(desk) == ["R-09-030"]
    QTest.keyClicks(desk.caseload.search, " nothing like it")
    assert codes(desk) == []
    assert "No case has all of" in desk.caseload.nothing.text()


def test_the_list_sorts_numbers_as_numbers(desk: DeskWindow, store: Store) -> None:
    more_cases(store)
    desk.caseload.look_again()
    desk.caseload.table.sortByColumn(NUMBER, Qt.SortOrder.AscendingOrder)
    assert codes(desk) == ["R-07-003", "R-09-005", "R-09-012", "R-09-030"]


def test_return_opens_the_first_case_found(desk: DeskWindow, qtbot: QtBot) -> None:
    QTest.keyClicks(desk.caseload.search, "r-07")
    QTest.keyClick(desk.caseload.search, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: desk.review is not None)
    desk.show_caseload()


def test_a_file_that_is_no_clip_gets_a_sentence_and_takes_nothing_in(
    desk: DeskWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    from app.intake.take_in import Intake

    fake = tmp_path / "notes.mp4"
    fake.write_text("these are notes")
    desk.taking_in.take_in(Intake([fake], "R-07", 9, "phaco-chop"))
    qtbot.waitUntil(lambda: "notes.mp4" in desk.message_bar.words, timeout=30_000)
    assert codes(desk) == ["R-07-003"]


def test_a_poster_is_made_once_and_kept(desk: DeskWindow, qtbot: QtBot, store: Store) -> None:
    from app.caseload.posters import kept_poster

    case = store.case("R-07-003")
    qtbot.waitUntil(lambda: case.id in desk.caseload.model.posters, timeout=30_000)
    assert kept_poster(store, case)


def test_a_clip_that_breaks_off_is_taken_in_and_said_to_be_short(
    desk: DeskWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    from app.intake.take_in import Intake

    whole, cut = tmp_path / "whole.ts", tmp_path / "cut.mp4"
    make_clip(whole, n_frames=60, first_number=700)
    make_clip(cut, n_frames=60, first_number=800, muxer_options={"movflags": "+frag_keyframe"})
    cut.write_bytes(cut.read_bytes()[: cut.stat().st_size * 2 // 3])
    desk.taking_in.take_in(Intake([whole, cut], "R-07", 9, "phaco-chop"))
    qtbot.waitUntil(lambda: "R-07-009" in codes(desk), timeout=30_000)
    assert "cut.mp4 breaks off" in desk.message_bar.words
    qtbot.waitUntil(lambda: desk.background.current is None, timeout=30_000)
