"""Start Qt, show a window at once, open the store behind it, then show the desk.

What takes long to import is imported behind that window too.
"""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from importlib import import_module
from types import TracebackType
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from annotate.errors import UserFacingError
from app.desk.again import Place, go_back_to, start_again
from app.desk.collecting import collecting_here
from app.desk.display import has_display
from app.desk.enlarging import prepare_size
from app.desk.start_window import StartWindow
from app.jobs.background import Background
from app.jobs.work import Cancelled, Work
from app.look.theme import dress, load_fonts
from app.quiet_cv2 import quiet_cv2
from app.reporting import report_fault
from app.settings import Settings, load_settings

if TYPE_CHECKING:
    from app.desk.window import DeskWindow
    from store import Store

NAME = "Scrubline"
_SLOW_TO_IMPORT = ("annotate.tagfile", "app.handback.prepare", "app.handback.write_note")
DEMO_REVIEWER = "A-01"


def make_application(theme: str, size_percent: int = 100) -> QApplication:
    """The one application, dressed, everything in it drawn at a per cent of its usual size."""
    quiet_cv2()
    prepare_size(size_percent)
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


class DeskStart(QObject):
    """Opens a store behind a window that says so, and shows the desk on it.

    Parameters
    ----------
    address : str
        Where the store is.
    case : str or None
        Code of the case to open.
    is_demo : bool
        Whether the store is the demo's, which is made where it is not there.
    again : Place or None
        Where a desk before this one was left; it is gone back to in place of the case.
    """

    def __init__(
        self, address: str, case: str | None, *, is_demo: bool, again: Place | None = None
    ) -> None:
        super().__init__()
        self._address = address
        self._case = case
        self._again = again
        self._is_demo = is_demo
        self._settings = load_settings()
        self._store: Store | None = None
        self._trouble = ""
        self.window: DeskWindow | None = None
        self.background = Background(self)
        title = "Making the demo caseload" if is_demo else "Opening the caseload"
        self.first = StartWindow(f"{title} ...", self.background)
        self._title = title

    def begin(self) -> None:
        """Show the first window, and begin to open the store."""
        self.first.showMaximized()
        self.background.run(self._title, self._opened, self._show_desk, self._tell)

    def end(self) -> None:
        """Close what is open.

        Raises
        ------
        UserFacingError
            If the store could not be opened.
        Cancelled
            If the first window was closed before the store was open.
        """
        self.background.close()
        if self._store is not None:
            self._store.close()
        if self._trouble:
            raise UserFacingError(self._trouble)
        if self.window is None:
            raise Cancelled

    def _opened(self, work: Work) -> Store:
        from store import open_store

        for name in _SLOW_TO_IMPORT:
            import_module(name)
        if self._is_demo:
            from app.demo.caseload import make_demo_store

            self._case = make_demo_store(self._address, work)
        self._store = open_store(self._address)
        return self._store

    def _tell(self, sentence: str) -> None:
        """Say what is wrong, and wait until it was read; where nobody can read, leave."""
        self._trouble = sentence
        self.first.tell(sentence)
        if not has_display():
            self.first.close()
            QApplication.quit()

    def _show_desk(self, store: Store) -> None:
        from app.desk.window import DeskWindow

        settings = desk_settings(self._settings, self._is_demo)
        self.window = DeskWindow(store, settings, is_demo=self._is_demo)
        self.window.showMaximized()
        self.first.close()
        is_read = settings.is_demo_hint_read if self._is_demo else settings.is_hint_read
        if is_read or self._is_demo:
            self._open_case()
        if not is_read:
            hint = self.window.show_hint()
            if not self._is_demo:
                hint.finished.connect(self._open_case)

    def _open_case(self) -> None:
        if self.window is None:
            return
        if self._again is not None:
            go_back_to(self.window, self._again)
        elif self._case is not None:
            self.window.open_case(self._case)


def open_desk(
    address: str,
    case: str | None = None,
    *,
    is_demo: bool = False,
    again: tuple[str, str, int] | None = None,
) -> None:
    """Show the desk until it is closed; a demo's caseload is made where it is not there.

    Parameters
    ----------
    again : (str, str, int) or None
        Where it was left to be started again: a `Place`.

    Raises
    ------
    UserFacingError
        If the store cannot be opened, or the desk not be started again.
    Cancelled
        If it was left before the store was open.
    """
    settings = load_settings()
    application = make_application(settings.theme, settings.size_percent)
    with collecting_here():
        start = DeskStart(address, case, is_demo=is_demo, again=Place(*again) if again else None)
        with _faults_told(start):
            start.begin()
            application.exec()
        start.end()
        left_at = start.window.enlarging.again if start.window is not None else None
    if left_at is not None:
        start_again(address, left_at, is_demo=is_demo)


@contextmanager
def _faults_told(start: DeskStart) -> Iterator[None]:
    """Say faults on the desk, and let Python see Ctrl+C, while this lasts."""
    hook = FaultHook(start)

    def say(sentence: str) -> None:
        if start.window is not None:
            start.window.message_bar.say_trouble(sentence)
        else:
            start.first.tell(sentence)

    hook.came.connect(say)
    sys.excepthook = hook
    threading.excepthook = hook.of_thread
    signal.signal(signal.SIGINT, _leave)
    beat = QTimer(start)  # lets Python see Ctrl+C while Qt waits
    beat.timeout.connect(_nothing)
    beat.start(500)
    try:
        yield
    finally:
        beat.stop()
        sys.excepthook = sys.__excepthook__
        threading.excepthook = threading.__excepthook__


def desk_settings(settings: Settings, is_demo: bool) -> Settings:
    """The settings as the desk uses them; the demo's own sessions are its reviewer's."""
    return replace(settings, reviewer=DEMO_REVIEWER) if is_demo else settings


def _leave(_number: int, _frame: object) -> None:
    QApplication.quit()


def _nothing() -> None:
    pass
