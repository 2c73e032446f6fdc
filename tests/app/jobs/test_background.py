"""Work on a thread of its own, with its answer on the desk's."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from annotate.errors import UserFacingError
from app.jobs.background import Background
from app.jobs.work import Work


@pytest.fixture
def background(qtbot: QtBot) -> Iterator[Background]:
    made = Background()
    yield made
    made.close()


def test_the_answer_comes_on_the_thread_that_asked(background: Background, qtbot: QtBot) -> None:
    heard: list[tuple[int, int]] = []

    def done(worker: int) -> None:
        heard.append((worker, threading.get_ident()))

    with qtbot.waitSignal(background.idle, timeout=10_000):
        background.run("x", lambda _work: threading.get_ident(), done, pytest.fail)
    ((worker, caller),) = heard
    assert caller == threading.get_ident() != worker


def test_trouble_a_user_can_mend_is_told_in_its_sentence(
    background: Background, qtbot: QtBot
) -> None:
    def deed(_work: Work) -> None:
        raise UserFacingError("The clip is empty.", "Copy it again.")

    told: list[str] = []
    with qtbot.waitSignal(background.idle, timeout=10_000):
        background.run("x", deed, pytest.fail, told.append)
    assert told == ["The clip is empty. Copy it again."]


def test_a_fault_becomes_a_report_and_a_sentence(background: Background, qtbot: QtBot) -> None:
    def deed(_work: Work) -> None:
        raise ZeroDivisionError

    told: list[str] = []
    with qtbot.waitSignal(background.idle, timeout=10_000):
        background.run("x", deed, pytest.fail, told.append)
    assert "ZeroDivisionError" in told[0]
    assert "Traceback" not in told[0]


def test_cancelled_work_answers_nothing(background: Background, qtbot: QtBot) -> None:
    began = threading.Event()

    def deed(work: Work) -> None:
        began.set()
        work.cancel.wait(10)
        work.check()

    with qtbot.waitSignal(background.idle, timeout=10_000):
        background.run("x", deed, pytest.fail, pytest.fail)
        assert began.wait(10)
        background.cancel_all()


def test_work_is_done_in_the_order_asked(background: Background, qtbot: QtBot) -> None:
    heard: list[int] = []
    with qtbot.waitSignal(background.idle, timeout=10_000):
        for i in range(5):
            background.run("x", lambda _work, i=i: i, heard.append, pytest.fail)
    assert heard == [0, 1, 2, 3, 4]
