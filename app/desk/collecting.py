"""Garbage is collected on the main thread alone while a window is open.

Python's collector runs on whichever thread happens to allocate. A widget in a reference cycle
would then be destroyed off the main thread, and Qt takes the process down for it. So collecting
by itself is switched off, and a timer does it here when as much is due.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

from PySide6.QtCore import QCoreApplication, QObject, QTimer

_LOOK_MS = 200


class Collector(QObject):
    """Looks whether a collection is due, and makes it on its own thread."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(collect_if_due)
        if QCoreApplication.instance() is not None:  # without one there is nothing to wait in
            self._timer.start()

    def stop(self) -> None:
        """Look no more."""
        self._timer.stop()


def collect_if_due() -> int | None:
    """Collect the oldest generation whose threshold is passed; None where none is."""
    due = None
    for generation, (count, threshold) in enumerate(
        zip(gc.get_count(), gc.get_threshold(), strict=True)
    ):
        if threshold and count > threshold:
            due = generation
    if due is not None:
        gc.collect(due)
    return due


@contextmanager
def collecting_here(parent: QObject | None = None) -> Iterator[None]:
    """Collect on this thread alone while this lasts; what is left is collected at its end."""
    was_on = gc.isenabled()
    gc.disable()
    collector = Collector(parent)
    try:
        yield
    finally:
        collector.stop()
        gc.collect()
        if was_on:
            gc.enable()
