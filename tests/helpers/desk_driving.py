"""Keys and pixels of a desk under test."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.desk.window import DeskWindow
from app.review.picture import PictureView
from app.review.view import ReviewView

CONTROL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
PLAIN = Qt.KeyboardModifier.NoModifier


def view_of(desk: DeskWindow) -> ReviewView:
    assert desk.review is not None
    return desk.review


def press(desk: DeskWindow, key: Qt.Key, modifiers: Qt.KeyboardModifier = PLAIN) -> None:
    QTest.keyClick(desk.focusWidget() or desk, key, modifiers)


def hover(desk: DeskWindow, time_us: int) -> int:
    """Move the pointer to a case time on the timeline; the time of the pixel that it is on."""
    timeline = view_of(desk).timeline
    spot = QPoint(round(timeline.x_of(time_us)), timeline.height() // 2)
    far = QPointF(timeline.viewport().mapToGlobal(spot))
    none = Qt.MouseButton.NoButton
    move = QMouseEvent(QEvent.Type.MouseMove, QPointF(spot), far, none, none, PLAIN)
    QApplication.sendEvent(timeline.viewport(), move)
    return timeline.time_at(spot)


def pixels(image: QImage) -> NDArray[np.uint8]:
    """RGB of an image, (height, width, 3)."""
    plain = image.convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(plain.constBits(), np.uint8).reshape(plain.height(), -1)
    return rows[:, : plain.width() * 3].reshape(plain.height(), plain.width(), 3).copy()


def painted(picture: PictureView) -> NDArray[np.uint8]:
    """What is painted where the picture lies."""
    image = picture.as_on_screen()
    assert image is not None
    return pixels(image)


def wait_exact(picture: PictureView, qtbot: QtBot) -> None:
    """Until the picture on the screen was made for the view that is wished for."""
    qtbot.waitUntil(lambda: picture._made_as == picture.framing, timeout=20_000)
