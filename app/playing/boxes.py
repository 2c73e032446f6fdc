"""The feed's boxes: what waits to be said to a decoder, and the newest picture for the screen."""

from __future__ import annotations

import threading
from collections import deque
from multiprocessing.connection import Connection

from app.playing.messages import Free, Play, Show, ToDecoder
from app.playing.shown import Shown


class Outbox:
    """Messages for the decoder; any thread fills it, the feed's empties it.

    Parameters
    ----------
    wake : Connection
        Wakes the feed's thread.
    """

    def __init__(self, wake: Connection) -> None:
        self._wake = wake
        self._lock = threading.Lock()
        self._waiting: deque[ToDecoder] = deque()

    def __bool__(self) -> bool:
        return bool(self._waiting)

    def add(self, *messages: ToDecoder) -> None:
        """Have something said."""
        with self._lock:
            self._waiting.extend(messages)
        self.wake()

    def wish(self, message: Show | Play) -> None:
        """Have a wish said in place of earlier ones that nobody has heard yet."""
        with self._lock:
            kept = [m for m in self._waiting if not isinstance(m, Show | Play)]
            self._waiting = deque([*kept, message])
        self.wake()

    def empty(self) -> list[ToDecoder]:
        """Take all that waits."""
        with self._lock:
            taken = list(self._waiting)
            self._waiting.clear()
            return taken

    def wake(self) -> None:
        """Have the feed's thread look."""
        self._wake.send_bytes(b".")


class Mailbox:
    """The newest picture; the one that is on the screen keeps its memory until the next."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._newest: tuple[Shown, Free] | None = None
        self._on_screen: Free | None = None

    def put(self, shown: Shown, free: Free) -> Free | None:
        """Lay a picture in; gives what to free of one that nobody took, None if all were taken."""
        with self._lock:
            missed, self._newest = self._newest, (shown, free)
            return missed[1] if missed is not None else None

    def take(self) -> tuple[Shown | None, Free | None]:
        """Take the picture, and what to free of the one that it takes the place of."""
        with self._lock:
            if self._newest is None:
                return None, None
            (shown, free), self._newest = self._newest, None
            before, self._on_screen = self._on_screen, free
            return shown, before

    @property
    def memories(self) -> set[str]:
        """Names of the memory in which pictures lie."""
        held = [self._on_screen, self._newest[1] if self._newest is not None else None]
        return {free.memory for free in held if free is not None}
