"""What a decoder has been told: the newest wish wins, and long work looks here whether to go on."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable
from contextlib import suppress

from app.playing.messages import Free, Leave, Open, Play, Show, ShowAs, TakeStill, UseMemory
from app.playing.slots import Slots

Job = Open | Leave | Show | Play
_LOOK_S = 0.5


class Inbox:
    """Filled by the thread that listens to the desk, emptied by the one that decodes.

    Attributes
    ----------
    show_as : ShowAs
        How pictures are wanted now.
    ticks : int
        Goes up whenever long work looks whether to go on: a sign of life.
    """

    def __init__(self) -> None:
        self._room = threading.Condition()
        self._cases: deque[Open | Leave] = deque()
        self._wish: Show | Play | None = None
        self.stills: deque[TakeStill] = deque()
        self._epoch = 0
        self._is_closing = False
        self._slots: Slots | None = None
        self._free: deque[int] = deque()
        self.show_as = ShowAs()
        self.ticks = 0

    # From the desk

    def post(self, message: object) -> None:
        """Take in what the desk says."""
        with self._room:
            match message:
                case Open() | Leave():
                    self._cases.append(message)
                    self._wish = None
                    self.stills.clear()
                    self._epoch += 1
                    if isinstance(message, Leave):
                        self._use(None)
                case Show(epoch=epoch) | Play(epoch=epoch):
                    self._wish, self._epoch = message, epoch
                case ShowAs():
                    self.show_as = message
                case UseMemory():
                    self._use(message)
                case Free(memory=memory, slot=slot):
                    if self._slots is not None and memory == self._slots.name:
                        self._free.append(slot)
                case TakeStill():
                    self.stills.append(message)
            self._room.notify_all()

    def close(self) -> None:
        """Nothing more will come."""
        with self._room:
            self._is_closing = True
            self._room.notify_all()

    def _use(self, told: UseMemory | None) -> None:
        if self._slots is not None:
            self._slots.close()
        self._slots = None
        self._free.clear()
        if told is not None:
            with suppress(FileNotFoundError):  # gone already: newer memory is on the way
                self._slots = Slots(told.slot_bytes, told.n_slots, told.name)
                self._free.extend(range(told.n_slots))

    # For the thread that decodes

    @property
    def shared_bytes(self) -> int:
        """Memory of the pictures on their way to the screen."""
        slots = self._slots
        return slots.slot_bytes * slots.n_slots if slots is not None else 0

    @property
    def is_closing(self) -> bool:
        """Whether the desk is gone."""
        return self._is_closing

    def next_job(self) -> Job | None:
        """Wait for something to do; None when the desk is gone."""
        with self._room:
            while not self._is_closing and not self._cases and self._wish is None:
                self._room.wait()
            if self._is_closing:
                return None
            if self._cases:
                return self._cases.popleft()
            wish, self._wish = self._wish, None
            return wish

    def next_still(self, is_over: Callable[[], bool]) -> TakeStill | None:
        """Wait for a still to take; None once that is over, or the desk gone."""
        with self._room:
            while not self._is_closing and not is_over() and not self.stills:
                self._room.wait()
            return self.stills.popleft() if self.stills and not is_over() else None

    def wake(self) -> None:
        """Have everybody who waits look again."""
        with self._room:
            self._room.notify_all()

    @property
    def epoch(self) -> int:
        """Of the newest wish."""
        return self._epoch

    def is_passed_by(self, epoch: int) -> bool:
        """Whether something else is wished for than to let the pointer pass on.

        A near picture is quick and worth finishing although the pointer has moved on meanwhile.
        """
        self.ticks += 1
        newer = self._wish
        is_passing_on = isinstance(newer, Show) and newer.is_passing
        return self._is_closing or (self._epoch != epoch and not is_passing_on)

    def is_stale(self, epoch: int) -> bool:
        """Whether something newer is wished for."""
        self.ticks += 1
        return self._is_closing or self._epoch != epoch

    def rests(self, epoch: int, seconds: float) -> bool:
        """Wait so long; False as soon as something newer is wished for."""
        until = time.perf_counter() + seconds
        with self._room:
            while not self.is_stale(epoch):
                left = until - time.perf_counter()
                if left <= 0:
                    return True
                self._room.wait(left)
        return False

    def free_slot(self, is_stale: Callable[[], bool]) -> tuple[Slots, int] | None:
        """Wait for a slot to fill; None as soon as that is not wanted any more."""
        with self._room:
            while not self._free or self._slots is None:
                if is_stale():
                    return None
                self._room.wait(_LOOK_S)  # a screen that is busy is no decoder that hangs
            return None if is_stale() else (self._slots, self._free.popleft())

    def give_back(self, slots: Slots, slot: int) -> None:
        """A slot was not needed after all."""
        with self._room:
            if slots is self._slots:
                self._free.append(slot)
                self._room.notify_all()
