"""The desk comes up: a window at once, then the desk, or a sentence that says why not."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from annotate.errors import UserFacingError
from app.desk import start as start_module
from app.desk.hint import HintDialog, steps_text
from app.desk.start import DeskStart, make_application
from app.desk.window import DeskWindow
from app.jobs.work import Cancelled
from app.settings import Settings, load_settings, save_settings
from store import Store, open_store


@pytest.fixture
def address(tmp_path: Path) -> str:
    return str(tmp_path / "desk.sqlite")


def begun(
    qtbot: QtBot, address: str, case: str | None = None, *, is_demo: bool = False
) -> DeskStart:
    make_application("dark")
    start = DeskStart(address, case, is_demo=is_demo)
    qtbot.addWidget(start.first)
    start.begin()
    return start


def come_up(qtbot: QtBot, start: DeskStart) -> DeskWindow:
    qtbot.waitUntil(lambda: start.window is not None, timeout=60_000)
    assert start.window is not None
    qtbot.addWidget(start.window)
    return start.window


def end(start: DeskStart) -> None:
    if start.window is not None:
        start.window.close()
    start.end()


def hint_of(desk: DeskWindow) -> HintDialog | None:
    return next((d for d in desk.findChildren(HintDialog) if d.isVisible()), None)


def test_a_window_stands_before_the_store_is_open(qtbot: QtBot, address: str) -> None:
    start = begun(qtbot, address)
    assert start.first.isVisible()
    assert start.window is None
    assert start.first.words.text() == "Opening the caseload ..."
    desk = come_up(qtbot, start)
    assert desk.isVisible()
    assert not start.first.isVisible()
    end(start)


def test_a_store_that_cannot_be_opened_is_said_in_the_window_and_by_the_command(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(start_module, "has_display", lambda: True)
    bad = tmp_path / "notes.sqlite"
    bad.write_text("these are notes, and long enough to be looked at" * 50)
    start = begun(qtbot, str(bad))
    qtbot.waitUntil(lambda: "notes.sqlite" in start.first.words.text(), timeout=30_000)
    assert start.first.isVisible()
    assert start.first.leave.text() == "Close"
    QTest.mouseClick(start.first.leave, Qt.MouseButton.LeftButton)
    with pytest.raises(UserFacingError, match=r"notes\.sqlite"):
        start.end()


def test_closing_the_first_window_stops_the_making_of_the_demo(qtbot: QtBot, address: str) -> None:
    start = begun(qtbot, address, is_demo=True)
    assert start.first.words.text() == "Making the demo caseload ..."
    QTest.mouseClick(start.first.leave, Qt.MouseButton.LeftButton)
    with pytest.raises(Cancelled):
        start.end()
    assert not Path(address).exists()
    assert not [t for t in threading.enumerate() if t.name.startswith("work")]


def test_an_empty_caseload_begins_with_taking_a_case_in(qtbot: QtBot, address: str) -> None:
    start = begun(qtbot, address)
    desk = come_up(qtbot, start)
    hint = hint_of(desk)
    assert hint is not None
    assert "1. Take in a case." in hint.words.text()
    assert "scrubline demo" in hint.words.text()
    assert "1. Let it run." in steps_text(is_empty=False)
    assert load_settings().is_hint_read
    hint.reject()
    end(start)
    again = begun(qtbot, address)
    assert hint_of(come_up(qtbot, again)) is None
    end(again)


def test_the_hint_stands_over_the_middle_of_the_window(desk: DeskWindow, qtbot: QtBot) -> None:
    desk.move(300, 120)
    hint = desk.show_hint()
    qtbot.waitExposed(hint)
    off = hint.frameGeometry().center() - desk.frameGeometry().center()
    assert max(abs(off.x()), abs(off.y())) <= 2


@pytest.fixture
def demo_desk(qtbot: QtBot, store: Store) -> Iterator[DeskWindow]:
    window = DeskWindow(store, Settings(reviewer="A-01"), is_demo=True)
    qtbot.addWidget(window)
    window.show()
    yield window
    window.close()


def test_the_demos_hint_offers_a_fresh_case_and_leaves_ones_own_settings_alone(
    demo_desk: DeskWindow,
) -> None:
    save_settings(Settings(reviewer="R-77"))
    hint = demo_desk.show_hint()
    assert not [x for x in hint.findChildren(QLabel) if "Take in a case." in x.text()]
    hint.case_wished.emit("R-07-003")
    assert demo_desk.review is not None
    kept = load_settings()
    assert (kept.reviewer, kept.is_demo_hint_read, kept.is_hint_read) == ("R-77", True, False)
    assert demo_desk.caseload.presenter.fresh_case == "R-07-003"


def test_a_command_opens_its_case_once_the_hint_is_closed(
    qtbot: QtBot, store: Store, tmp_path: Path
) -> None:
    save_settings(Settings(reviewer="A-01"))
    start = begun(qtbot, str(tmp_path / "desk.sqlite"), "R-07-003")
    desk = come_up(qtbot, start)
    hint = hint_of(desk)
    assert hint is not None
    assert desk.review is None
    hint.accept()
    assert desk.review is not None
    end(start)


def test_a_store_stays_open_for_the_desk_after_the_start(qtbot: QtBot, address: str) -> None:
    with open_store(address):
        pass
    start = begun(qtbot, address)
    desk = come_up(qtbot, start)
    assert desk.store.cases() == ()
    end(start)
