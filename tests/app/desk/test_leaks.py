"""Screens that are closed are gone."""

from __future__ import annotations

import gc
import weakref

from PySide6.QtCore import QCoreApplication, QEvent
from pytestqt.qtbot import QtBot

from app.desk.window import DeskWindow


def test_reviews_that_were_left_are_let_go(desk: DeskWindow, qtbot: QtBot) -> None:
    left: list[weakref.ref[object]] = []
    for _ in range(5):
        desk.open_case("R-07-003")
        qtbot.waitUntil(
            lambda: desk.review is not None and desk.review.picture.shown_number == 0,
            timeout=20_000,
        )
        assert desk.review is not None
        left += [weakref.ref(desk.review), weakref.ref(desk.review.presenter)]
        desk.show_caseload()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()
    alive = [ref() for ref in left if ref() is not None]
    assert len(alive) <= 2, alive  # Qt may hold on to the last one until its next turn
