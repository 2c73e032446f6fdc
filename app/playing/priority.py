"""Threads that give way: what is made ahead waits for what is being shown."""

from __future__ import annotations

import os
import sys
import threading
from contextlib import suppress

_STEPS = 4
"""Of niceness: another busy thread is given some two and a half times as much of a processor."""


def give_way() -> None:
    """Have this thread, and those that it starts from now on, wait for the others of the desk.

    Only on Linux does a thread have a priority of its own that needs no permission to be lowered;
    elsewhere nothing changes.
    """
    if sys.platform.startswith("linux"):
        thread = threading.get_native_id()
        with suppress(OSError):
            niceness = os.getpriority(os.PRIO_PROCESS, thread)
            os.setpriority(os.PRIO_PROCESS, thread, niceness + _STEPS)
