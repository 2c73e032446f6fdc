"""Garbage of the desk is collected on its own thread."""

from __future__ import annotations

import gc
import threading

from pytestqt.qtbot import QtBot

from app.desk.collecting import collecting_here


class Loop:
    """In a cycle with itself; notes which thread lets go of it."""

    freed_on: list[int] = []  # noqa: RUF012 - shared on purpose

    def __init__(self) -> None:
        self.me = self

    def __del__(self) -> None:
        self.freed_on.append(threading.get_ident())


def allocate_much(kept: list[object]) -> None:
    """Enough containers to make Python collect by itself, were it allowed to."""
    kept.extend([] for _ in range(200_000))


def test_a_cycle_is_freed_on_the_main_thread_however_much_another_allocates(qtbot: QtBot) -> None:
    Loop.freed_on.clear()
    with collecting_here():
        for _ in range(50):
            Loop()
        kept: list[object] = []
        thread = threading.Thread(target=allocate_much, args=[kept])
        thread.start()
        thread.join()
        qtbot.waitUntil(lambda: len(Loop.freed_on) == 50, timeout=10_000)
    assert set(Loop.freed_on) == {threading.get_ident()}


def test_collecting_by_itself_is_as_it_was_afterwards() -> None:
    was_on = gc.isenabled()
    with collecting_here():
        assert not gc.isenabled()
    assert gc.isenabled() is was_on
