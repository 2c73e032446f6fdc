"""PySide6 6.12 lost a reference to True and None with each call on Python 3.11, and died of it."""

from __future__ import annotations

import sys

import pytest
from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot


class Emitter(QObject):
    said = Signal(bool)


@pytest.mark.skipif(
    sys.version_info >= (3, 12),
    reason="True and None are immortal here, and their counts mean nothing",
)
def test_a_thousand_emits_and_calls_lose_no_reference(qtbot: QtBot) -> None:
    emitter, widget = Emitter(), QWidget()
    qtbot.addWidget(widget)
    heard: list[bool] = []
    emitter.said.connect(heard.append)
    before = sys.getrefcount(True), sys.getrefcount(None)
    for _ in range(1000):
        emitter.said.emit(True)
        widget.update()
        widget.setObjectName("x")
    heard.clear()
    after = sys.getrefcount(True), sys.getrefcount(None)
    assert abs(after[0] - before[0]) < 50
    assert abs(after[1] - before[1]) < 50


def test_many_emits_and_calls_leave_true_and_none_alive(qtbot: QtBot) -> None:
    emitter, widget = Emitter(), QWidget()
    qtbot.addWidget(widget)
    heard: list[bool] = []
    emitter.said.connect(heard.append)
    for _ in range(20_000):
        emitter.said.emit(True)
        widget.update()
        widget.setObjectName("x")
    assert len(heard) == 20_000
    assert all(one is True for one in heard)
    assert sys.getrefcount(None) > 1000
