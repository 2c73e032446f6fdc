"""Start Qt, open the store, show the desk."""

from __future__ import annotations

import signal
import sys
import threading
from dataclasses import replace
from types import TracebackType

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from app.desk.window import NAME, DeskWindow
from app.look.theme import dress, load_fonts
from app.quiet_cv2 import quiet_cv2
from app.reporting import report_fault
from app.settings import Settings, load_settings
from store import open_store

DEMO_REVIEWER = "A-01"


def make_application(theme: str) -> QApplication:
    """The one application, dressed."""
    quiet_cv2()
    existing = QApplication.instance()
    application = existing if isinstance(existing, QApplication) else QApplication([NAME])
    QGuiApplication.setApplicationDisplayName(NAME)
    load_fonts()
    dress(application, theme)
    return application


class FaultHook(QObject):
    """Turns a fault anywhere into a report and a sentence on the desk."""

    came = Signal(str)

    def __call__(
        self,
        kind: type[BaseException],
        fault: BaseException,
        trace: TracebackType | None,
    ) -> None:
        """Write the report; say the sentence on the main thread."""
        if issubclass(kind, KeyboardInterrupt):
            QApplication.quit()
            return
        self.came.emit(report_fault(fault))

    def of_thread(self, told: threading.ExceptHookArgs) -> None:
        """The same for a thread's fault."""
        if told.exc_value is not None:
            self.came.emit(report_fault(told.exc_value))


def open_desk(address: str, case: str | None = None, *, is_demo: bool = False) -> None:
    """Show the desk until it is closed.

    Raises
    ------
    UserFacingError
        If the store cannot be opened.
    """
    settings = load_settings()
    application = make_application(settings.theme)
    with open_store(address) as store:
        window = DeskWindow(store, desk_settings(settings, is_demo), keeps_settings=not is_demo)
        hook = FaultHook(window)
        hook.came.connect(window.message_bar.say)
        sys.excepthook = hook
        threading.excepthook = hook.of_thread
        signal.signal(signal.SIGINT, _leave)
        beat = QTimer(window)  # lets Python see Ctrl+C while Qt waits
        beat.start(500)
        beat.timeout.connect(_nothing)
        window.showMaximized()
        if case is not None:
            window.open_case(case)
        if is_demo or not settings.is_hint_read:
            window.show_hint()
        application.exec()
        sys.excepthook = sys.__excepthook__
        threading.excepthook = threading.__excepthook__


def desk_settings(settings: Settings, is_demo: bool) -> Settings:
    """The settings as the desk uses them; the demo's own sessions are its reviewer's."""
    return replace(settings, reviewer=DEMO_REVIEWER) if is_demo else settings


def _leave(_number: int, _frame: object) -> None:
    QApplication.quit()


def _nothing() -> None:
    pass
