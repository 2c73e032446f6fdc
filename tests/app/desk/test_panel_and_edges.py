"""Where the panel of looks lies, and what a loop with one edge looks like, on the desk."""

from __future__ import annotations

import pytest
from desk_driving import CONTROL, SHIFT, press, view_of
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.desk.window import DeskWindow


@pytest.mark.parametrize("size", [(1024, 640), (1366, 768), (1920, 1080)])
def test_the_panel_of_looks_leaves_timeline_and_centre_in_sight(
    reviewing: DeskWindow, qtbot: QtBot, size: tuple[int, int]
) -> None:
    view = view_of(reviewing)
    reviewing.resize(*size)
    press(reviewing, Qt.Key.Key_B, CONTROL)
    panel = view.look_panel
    below = (view.transport, view.small_pictures.band, view.timeline)

    def place(widget: QWidget) -> QRect:
        return QRect(widget.mapTo(view, QPoint(0, 0)), widget.size())

    def is_by(room: QRect) -> bool:
        is_laid_out = place(view.timeline).bottom() == view.height() - 1
        return is_laid_out and room.contains(panel.geometry())

    qtbot.waitUntil(lambda: is_by(place(view.side)))
    assert not any(panel.geometry().intersects(place(w)) for w in (*below, view.picture))
    assert panel.width() >= panel.minimumSizeHint().width()
    assert all(slider.width() >= 60 for slider in panel.sliders.values())
    view.act("picture-alone")
    qtbot.waitUntil(lambda: is_by(place(view.picture)))
    assert not any(panel.geometry().intersects(place(w)) for w in below)
    middle = QRect(0, 0, view.picture.width() // 4, view.picture.height() // 4)
    middle.moveCenter(place(view.picture).center())
    assert not panel.geometry().intersects(middle)


def test_one_edge_is_told_but_not_lit_as_a_loop(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    button = view.transport._buttons["loop"]
    press(reviewing, Qt.Key.Key_Home, SHIFT)
    assert view.presenter.loop_edges == (0, None)
    assert not button.isChecked()
    assert button.text() == "from"
    assert view.presenter.edge_words() == "from 0:00.0"
    assert "Loop from 0:00.0; it has no end: Shift+End" in view.transport.state_words
    press(reviewing, Qt.Key.Key_End, SHIFT)
    assert view.presenter.loop is not None
    assert button.isChecked()
    assert button.text() == "Loop"
    press(reviewing, Qt.Key.Key_L)
    assert not button.isChecked()
    press(reviewing, Qt.Key.Key_End, SHIFT)
    assert button.text() == "to"
    assert not button.isChecked()
