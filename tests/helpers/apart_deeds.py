"""Deeds for tests of processes apart: found by name, and free of Qt."""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

from annotate.clip.stopping import ReadingStopped
from annotate.errors import UserFacingError
from app.jobs.work import Work


def doubled(value: int, *, work: Work) -> int:
    """Twice a number, with two signs of progress."""
    work.advance(1, 2)
    work.advance(2, 2)
    return 2 * value


def own_pid(*, work: Work) -> int:
    """Which process does it."""
    return os.getpid()


def own_niceness(*, work: Work) -> int:
    """How far it steps back behind others."""
    return os.nice(0)


def modules_of(names: list[str], *, work: Work) -> list[str]:
    """What is loaded after importing some modules."""
    for name in names:
        __import__(name)
    return sorted(sys.modules)


def refused(*, work: Work) -> None:
    """Something the user can put right."""
    raise UserFacingError("The clip is empty.", "Copy it again.")


def stopped(*, work: Work) -> None:
    """Reading that stopped by itself."""
    raise ReadingStopped


class OddFault(Exception):  # noqa: N818
    """A fault that can be packed and not unpacked."""

    def __init__(self, one: int, two: int) -> None:
        super().__init__(f"odd {one} {two}")


def at_fault(is_odd: bool, *, work: Work) -> None:
    """A fault of the program."""
    if is_odd:
        raise OddFault(1, 2)
    raise ZeroDivisionError("by nothing")


def not_packable(*, work: Work) -> object:
    """An answer that cannot cross."""
    return lambda: None


def large(n_bytes: int, *, work: Work) -> bytes:
    """A large answer."""
    return bytes(n_bytes)


def length_of(content: bytes, *, work: Work) -> int:
    """What a large argument came to."""
    return len(content)


def dies(log: Path, n_times: int, *, work: Work) -> int:
    """Die the first `n_times` that it is called; then say how often it was."""
    work.advance(1, 3)
    with log.open("a") as file:
        file.write("x")
    if log.stat().st_size <= n_times:
        os.kill(os.getpid(), getattr(signal, "SIGKILL", signal.SIGTERM))
    return log.stat().st_size


def counts_for_ever(log: Path, is_deaf: bool, *, work: Work) -> None:
    """Work that listens to its being called off, or does not."""
    log.write_text(f"{os.getpid()}")
    pause = threading.Event()
    n = 0
    while True:
        n += 1
        pause.wait(0.005)
        if is_deaf:
            work.done = n
        else:
            work.advance(n, 1e9)


def in_parts(n: int, *, work: Work) -> Iterator[int]:
    """Numbers one by one."""
    for number in range(n):
        work.advance(number, n)
        yield number
