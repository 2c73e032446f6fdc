"""Everything larger: kept, said, and true of the next start, which is a key away."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from desk_driving import view_of
from PySide6.QtCore import QProcessEnvironment, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from annotate.case import SessionStatus
from annotate.errors import UserFacingError
from app.desk.again import Place, go_back_to, line_for, start_again
from app.desk.enlarging import SIZES, forget_size
from app.desk.window import DeskWindow
from app.jobs.work import Work
from app.settings import Settings, load_settings, save_settings
from store import Store, open_store

ROOT = Path(__file__).parents[3]
ASK = (
    "from app.desk.start import make_application; from PySide6.QtWidgets import QLabel; "
    "app = make_application('dark', {percent}); print(QLabel('x').devicePixelRatioF())"
)


def test_sizes_go_up_and_down_and_stop_at_both_ends(desk: DeskWindow) -> None:
    for percent in SIZES[1:]:
        desk.act("larger")
        assert desk.settings.size_percent == percent
        assert f"at {percent} % from the next start" in desk.message_bar.words
    desk.act("larger")
    assert "no larger" in desk.message_bar.words
    for percent in reversed(SIZES[:-1]):
        desk.act("smaller")
        assert f"at {percent} %" in desk.message_bar.words
    assert "as it is now" in desk.message_bar.words
    assert not desk.message_bar.deeds
    desk.act("smaller")
    assert desk.settings.size_percent == 100
    assert "no smaller" in desk.message_bar.words


def test_the_size_is_written_down(tmp_path: Path) -> None:
    save_settings(Settings(size_percent=150), tmp_path / "settings.toml")
    assert load_settings(tmp_path / "settings.toml").size_percent == 150


@pytest.mark.parametrize(("percent", "ratio"), [(100, 1.0), (150, 1.5), (200, 2.0), (77, 1.0)])
def test_the_next_start_draws_everything_at_that_size(percent: int, ratio: float) -> None:
    done = subprocess.run(
        [sys.executable, "-c", ASK.format(percent=percent)],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert float(done.stdout.split()[-1]) == ratio


def test_the_desk_is_closed_to_be_started_again_where_it_is(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    view.go_to_number(30)
    qtbot.waitUntil(lambda: view.picture.shown_number == 30, timeout=20_000)
    session, time_us = view.presenter.session.id, view.presenter.playhead_us
    reviewing.act("larger")
    (now,) = reviewing.message_bar.deeds
    assert now.text() == "Start again now"
    QTest.mouseClick(now, Qt.MouseButton.LeftButton)
    assert not reviewing.isVisible()
    assert reviewing.enlarging.again == Place("R-07-003", session, time_us)


def test_the_list_of_cases_is_a_place_too(desk: DeskWindow) -> None:
    desk.act("start-again")
    assert desk.enlarging.again == Place()
    assert not desk.isVisible()


def test_a_comment_that_is_not_kept_is_not_lost(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    view.write_comment()
    view.comment_box.text.insertPlainText("The rim folds")
    reviewing.act("start-again")
    assert reviewing.isVisible()
    assert "A comment is not kept yet" in reviewing.message_bar.words
    view.comment_box.keep()
    reviewing.act("start-again")
    assert not reviewing.isVisible()


def test_work_that_runs_is_not_cut_off(desk: DeskWindow, qtbot: QtBot) -> None:
    may_end = threading.Event()

    def deed(_work: Work) -> bool:
        return may_end.wait(60)

    desk.background.run("Reading part1.mp4", deed, bool, bool)
    desk.act("start-again")
    assert desk.isVisible()
    assert "Still at work: Reading part1.mp4" in desk.message_bar.words
    may_end.set()
    qtbot.waitUntil(lambda: desk.background.asked_for is None, timeout=20_000)
    desk.act("start-again")
    assert not desk.isVisible()


def test_a_place_is_gone_back_to(desk: DeskWindow, store: Store, qtbot: QtBot) -> None:
    case = store.case("R-07-003")
    desk.open_case(case.code)
    session = view_of(desk).presenter.session
    assert session.status is SessionStatus.DRAFT
    desk.show_caseload()
    go_back_to(desk, Place())
    assert desk.review is None
    go_back_to(desk, Place(case.code, session.id, 1_000_000))
    view = view_of(desk)
    qtbot.waitUntil(lambda: view.picture.shown_number not in (None, 0), timeout=20_000)
    assert view.presenter.session.id == session.id
    number = view.picture.shown_number
    assert number is not None
    feed = view.player.feed
    assert feed is not None
    assert number == feed.number_at(1_000_000)


def test_a_size_of_ones_own_system_is_left_to_the_next_start() -> None:
    environment = QProcessEnvironment()
    environment.insert("QT_SCALE_FACTOR", "1.37")  # no desk sets this
    forget_size(environment)
    assert environment.value("QT_SCALE_FACTOR") == "1.37"


def test_a_case_code_that_looks_like_an_option_stays_a_code() -> None:
    line = line_for("desk.sqlite", Place("--help", "x", 5), is_demo=True)
    assert line[-5:] == ["demo", "--again", "--help", "x", "5"]


def test_what_cannot_be_started_is_said(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "executable", str(tmp_path / "no-python"))
    with pytest.raises(UserFacingError, match="could not be started again"):
        start_again(str(tmp_path / "desk.sqlite"), Place(), is_demo=False)


def test_a_second_process_opens_the_same_place_enlarged(
    store: Store, tmp_path: Path, qtbot: QtBot
) -> None:
    """Keys alone, in the real program; the second process is of the desk's own making."""
    case = store.case("R-07-003")
    store.close()
    save_settings(
        Settings(reviewer="A-01", is_hint_read=True, is_reviewer_asked=True, size_percent=125)
    )
    report = tmp_path / "seen.json"
    address = str(tmp_path / "desk.sqlite")
    watched = ROOT / "tests" / "helpers" / "watched_start"
    done = subprocess.run(
        [sys.executable, "-m", "app.main", "--store", address, "desk", case.code],
        cwd=ROOT, capture_output=True, text=True, check=False, timeout=60,
        env={**os.environ, "PYTHONPATH": str(watched), "SCRUBLINE_TEST_REPORT": str(report)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    qtbot.waitUntil(report.exists, timeout=120_000)
    seen = json.loads(report.read_text(encoding="utf-8"))
    assert load_settings().size_percent == 150
    assert seen["ratio"] == 1.5
    assert seen["case"] == case.code
    with open_store(address) as again:
        (session,) = again.sessions(case.id)
    assert seen["session"] == session.id
    assert seen["arguments"][2:] == ["desk", "--again", case.code, session.id, str(seen["time_us"])]
    assert seen["time_us"] > 0
