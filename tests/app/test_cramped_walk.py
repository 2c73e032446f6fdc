"""The walk over enlarged screens sees what it is there to see."""

from __future__ import annotations

from cramped import cut_off, larger_than
from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QLabel, QLineEdit, QPushButton, QScrollArea, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

WORDS = "More words than there is room for in a window as narrow as this one"


def shown(window: QWidget, qtbot: QtBot) -> QWidget:
    qtbot.addWidget(window)
    window.show()
    qtbot.waitExposed(window)
    return window


def test_a_control_beyond_the_edge_is_cut(qtbot: QtBot) -> None:
    window = QWidget()
    QPushButton("Keep", window).setGeometry(80, 10, 60, 30)
    window.resize(100, 60)
    assert "is cut by QWidget" in cut_off(shown(window, qtbot), "here")[0]


def test_a_control_lower_than_its_words_is_squeezed(qtbot: QtBot) -> None:
    window = QWidget()
    QLineEdit(window).setGeometry(0, 0, 90, 5)
    window.resize(100, 60)
    assert "is squeezed" in cut_off(shown(window, qtbot), "here")[0]


def test_controls_of_a_layout_over_each_other_are_told(qtbot: QtBot) -> None:
    window = QWidget()
    column = QVBoxLayout(window)
    first, second = QPushButton("Keep"), QPushButton("Leave")
    column.addWidget(first)
    column.addWidget(second)
    window.resize(200, 200)
    shown(window, qtbot)
    assert not cut_off(window, "here")
    second.setGeometry(first.geometry())
    assert "lies over" in cut_off(window, "here")[0]


def test_words_without_room_are_told_unless_a_tool_tip_has_them(qtbot: QtBot) -> None:
    window = QWidget()
    label = QLabel(WORDS, window)
    label.setGeometry(0, 0, 90, 20)
    window.resize(100, 60)
    shown(window, qtbot)
    assert "of its words" in cut_off(window, "here")[0]
    label.setToolTip(WORDS)
    assert not cut_off(window, "here")
    label.setWordWrap(True)
    assert "of its lines" in cut_off(window, "here")[0]


def test_what_can_be_scrolled_to_is_not_cut_but_what_cannot_is(qtbot: QtBot) -> None:
    area, body = QScrollArea(), QWidget()
    QPushButton("Keep", body).setGeometry(150, 300, 80, 30)
    body.setMinimumSize(240, 400)
    area.setWidget(body)
    area.resize(120, 100)
    shown(area, qtbot)
    assert not cut_off(area, "here")
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    assert "is cut at the side" in cut_off(area, "here")[0]


def test_a_window_larger_than_the_screen_is_told() -> None:
    window = QWidget()
    window.resize(900, 500)
    assert not larger_than(window, QSize(911, 512), "here")
    assert larger_than(window, QSize(960, 480), "here")
