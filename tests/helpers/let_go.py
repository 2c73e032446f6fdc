"""At a test's end its windows are gone: the next one doesn't dress and paint them too."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from PySide6.QtCore import QCoreApplication, QEvent

from app.desk.collecting import collecting_here


@contextmanager
def all_let_go() -> Iterator[None]:
    """Collect on this thread alone; at the end, delete what is to be deleted later.

    Qt itself does so once a loop of events runs again, which is in one of the next tests.
    """
    with collecting_here():
        yield
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
