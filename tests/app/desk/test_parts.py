"""The parts of a case on the desk: shown, moved, offset, added; a part that is away."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from new_stores import new_store
from numbered_clips import make_clip
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from annotate.ids import RowId, new_id
from annotate.tags import Tag, TagKind
from app.desk.parts_dialog import PartsDialog
from app.desk.start import make_application
from app.desk.window import DeskWindow
from app.intake.found_joins import find_joins
from app.intake.take_in import Intake, take_in
from app.settings import Settings
from store import Put, Store

S = 1_000_000
CODE = "R-07-009"


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Two parts of 3 s of which the second repeats 12 frames, and one that comes later."""
    folder = tmp_path_factory.mktemp("recording")
    paths = [folder / f"part{n}.mp4" for n in (1, 2, 3)]
    for path, first in zip(paths, (0, 78, 168), strict=True):
        make_clip(path, n_frames=90, first_number=first, width=192, height=144)
    return paths


@pytest.fixture
def store(tmp_path: Path, recording: list[Path]) -> Iterator[Store]:
    with new_store(tmp_path / "desk.sqlite") as made:
        taken = take_in(made, Intake(recording[:2], "R-07", 9, "phaco-chop", code=CODE), "A-01")
        find_joins(made, taken)
        yield made


@pytest.fixture
def reviewing(qtbot: QtBot, store: Store) -> Iterator[DeskWindow]:
    make_application("dark")
    window = DeskWindow(store, Settings(reviewer="A-01"), keeps_settings=False)
    qtbot.addWidget(window)
    window.show()
    qtbot.waitExposed(window)
    window.open_case(CODE)
    qtbot.waitUntil(lambda: shown(window) == 0, timeout=30_000)
    yield window
    window.close()


def shown(window: DeskWindow) -> int | None:
    return window.review.picture.shown_number if window.review else None


def dialog_of(window: DeskWindow) -> PartsDialog:
    window.act("parts")
    (dialog,) = [d for d in window.findChildren(PartsDialog) if d.isVisible()]
    return dialog


def test_what_was_found_is_taken_and_the_case_opens_at_the_same_picture(
    reviewing: DeskWindow, qtbot: QtBot, store: Store
) -> None:
    assert reviewing.review is not None
    case, session = reviewing.review.presenter.case, reviewing.review.presenter.session
    row = Tag(RowId(new_id()), session.id, TagKind.EVENT, "good-move", 4 * S)
    store.edit(session.id, "add", "A-01", Put(row))
    (mark,) = reviewing.review.timeline.lanes.joins
    assert (mark.at_us, mark.is_to_see) == (3 * S, True)
    assert "12 frames come twice." in mark.words
    reviewing.review.go_to_number(130)
    qtbot.waitUntil(lambda: shown(reviewing) == 130, timeout=30_000)
    dialog = dialog_of(reviewing)
    assert not dialog.arrange.isEnabled()
    dialog.parts.setCurrentRow(1)
    QTest.keyClick(dialog.take, Qt.Key.Key_Space)
    assert dialog.plan.order == [(case.clips[0].id, 0), (case.clips[1].id, -400_000)]
    QTest.keyClick(dialog.arrange, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: shown(reviewing) == 118, timeout=30_000)
    now = store.case(CODE)
    assert now.clips[1].lead_us == -400_000
    assert now.length_us == 5_600_000
    assert store.markup(session.id).tags[0].start_us == 3_600_000
    assert not [d for d in reviewing.findChildren(PartsDialog) if d.isVisible()]
    (edit,) = store.case_history(case.id)
    assert edit.by == "A-01"


def test_parts_are_moved_by_keys_and_an_offset_is_typed(
    reviewing: DeskWindow, qtbot: QtBot, store: Store
) -> None:
    dialog = dialog_of(reviewing)
    first, second = (line.clip.id for line in dialog.plan.lines)
    dialog.parts.setFocus()
    dialog.activateWindow()
    QTest.keyClick(dialog.later, Qt.Key.Key_Space)
    assert [clip_id for clip_id, _ in dialog.plan.order] == [second, first]
    assert dialog.parts.currentRow() == 1
    dialog.offset.clear()
    QTest.keyClicks(dialog.offset, "soon")
    QTest.keyClick(dialog.offset, Qt.Key.Key_Return)
    assert "not a time" in dialog.trouble.text()
    dialog.offset.clear()
    QTest.keyClicks(dialog.offset, "1.5")
    QTest.keyClick(dialog.offset, Qt.Key.Key_Return)
    assert dialog.trouble.text() == ""
    QTest.keyClick(dialog.arrange, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: store.case(CODE).clips[0].id == second, timeout=30_000)
    qtbot.waitUntil(lambda: reviewing.background.current is None, timeout=30_000)
    assert store.case(CODE).clock.gaps == ((3 * S, 4_500_000),)
    assert reviewing.review is not None
    assert reviewing.review.timeline.lanes.joins[0].ends_us == 3 * S


def test_an_offset_that_cannot_be_is_said_and_nothing_changes(
    reviewing: DeskWindow, qtbot: QtBot, store: Store
) -> None:
    before = store.case(CODE)
    dialog = dialog_of(reviewing)
    dialog.parts.setCurrentRow(1)
    dialog.offset.setText("-90f")
    QTest.keyClick(dialog.offset, Qt.Key.Key_Return)
    QTest.keyClick(dialog.arrange, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: "cannot overlap" in dialog.trouble.text(), timeout=30_000)
    assert dialog.isVisible()
    assert store.case(CODE) == before
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert not dialog.isVisible()


def test_a_part_is_added_later(
    reviewing: DeskWindow, qtbot: QtBot, store: Store, recording: list[Path]
) -> None:
    dialog = dialog_of(reviewing)
    dialog.adding_wished.emit([recording[0]])
    qtbot.waitUntil(lambda: "belongs to case" in dialog.trouble.text(), timeout=30_000)
    dialog.adding_wished.emit([recording[2]])
    qtbot.waitUntil(lambda: len(store.case(CODE).clips) == 3, timeout=30_000)
    qtbot.waitUntil(lambda: reviewing.background.current is None, timeout=30_000)
    assert reviewing.review is not None
    joins = reviewing.review.timeline.lanes.joins
    assert [mark.at_us for mark in joins] == [3 * S, 6 * S]
    assert "Found: The pictures go on." in joins[1].words


def test_a_part_that_is_away_says_so_and_the_rest_plays(
    reviewing: DeskWindow, qtbot: QtBot, recording: list[Path], tmp_path: Path
) -> None:
    away = recording[0].rename(tmp_path / "elsewhere.mp4")
    try:
        reviewing.show_caseload()
        reviewing.opener._without_picture = reviewing.store.case(CODE).id
        reviewing.opener.open(CODE, "A-01")
        review = reviewing.review
        assert review is not None
        qtbot.waitUntil(lambda: review.player.n_frames > 0, timeout=30_000)
        review.go_to_number(100)
        qtbot.waitUntil(lambda: shown(reviewing) == 100, timeout=30_000)
        review.go_to_number(10)
        qtbot.waitUntil(
            lambda: "part1.mp4 is not where it was" in review.picture._sentence, timeout=30_000
        )
        dialog = dialog_of(reviewing)
        assert "part1.mp4 is not where it was" in dialog.parts.item(0).text()
        dialog.reject()
    finally:
        away.rename(recording[0])
