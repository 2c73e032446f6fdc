"""PySide6 6.12 lost a reference to True and None with each call on Python 3.11, and died of it."""

from __future__ import annotations

import sys

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot


class Emitter(QObject):
    said = Signal(bool)


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
