"""Stopping long work on a clip: a seek that nobody waits for, a hash of a closed case."""

from __future__ import annotations

import threading
from collections.abc import Callable

Cancel = threading.Event | Callable[[], bool] | None
"""An event that is set, or a callable that says true, once the work is no longer wanted."""

Progress = Callable[[float], None] | None
"""Told the share that is done, 0 to 1."""


class ReadingStopped(Exception):  # noqa: N818 - not an error: somebody asked for it
    """The work was called off before it was finished."""


def stop_if(cancel: Cancel) -> None:
    """Raise if the work is no longer wanted.

    Raises
    ------
    ReadingStopped
        If `cancel` says so.
    """
    if cancel is None:
        return
    if cancel.is_set() if isinstance(cancel, threading.Event) else cancel():
        raise ReadingStopped
