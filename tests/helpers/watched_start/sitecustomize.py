"""Python reads this at its start, in whatever process has this folder on its path.

In a process that opens a desk it presses the keys that enlarge it and start it again; in the one
started again it writes down what it sees, and leaves. Nothing of the desk is replaced.
"""

import json
import os
import sys
from pathlib import Path

if "app.main" in sys.orig_argv:
    from PySide6.QtCore import Qt, QTimer
    from PySide6.QtTest import QTest
    from PySide6.QtWidgets import QApplication

    from app.desk.start import DeskStart
    from app.desk.window import DeskWindow

    REPORT = Path(os.environ["SCRUBLINE_TEST_REPORT"])
    begin = DeskStart.begin

    def desk_on_screen() -> DeskWindow | None:
        """The desk, once the case's picture is on it."""
        for window in QApplication.topLevelWidgets():
            if isinstance(window, DeskWindow) and window.review is not None:
                shown = window.review.picture.shown_number
                return window if shown is not None and window.review.player.n_frames else None
        return None

    def look(timer: QTimer) -> None:
        """Press, or report, as soon as there is something to press or report."""
        desk = desk_on_screen()
        if desk is None or desk.review is None:
            return
        if "--again" in sys.argv:
            timer.stop()
            presenter = desk.review.presenter
            seen = {
                "pid": os.getpid(),
                "arguments": sys.argv[1:],
                "ratio": desk.devicePixelRatioF(),
                "case": presenter.case.code,
                "session": presenter.session.id,
                "time_us": presenter.playhead_us,
            }
            part = REPORT.with_suffix(".part")
            part.write_text(json.dumps(seen), encoding="utf-8")
            part.replace(REPORT)
            desk.close()
        elif not desk.isActiveWindow():
            desk.activateWindow()
        elif desk.review.presenter.playhead_us == 0:
            desk.review.go_to_number(40)
        elif desk.review.picture.shown_number == 40:
            timer.stop()
            QTest.keyClick(desk, Qt.Key.Key_F12, Qt.KeyboardModifier.ShiftModifier)
            QTest.keyClick(desk, Qt.Key.Key_F12, Qt.KeyboardModifier.ControlModifier)

    def begin_watched(start: DeskStart) -> None:
        """Begin as ever, and look at it from time to time."""
        begin(start)
        timer = QTimer(start)
        timer.timeout.connect(lambda: look(timer))
        timer.start(20)

    DeskStart.begin = begin_watched  # type: ignore[method-assign, assignment]
