"""Pictures that wait for their moment, and the memory that they lie in."""

from __future__ import annotations

import time
from collections import deque

from app.playing.answers import Began, Ended, Picture
from app.playing.messages import UseMemory
from app.playing.slots import N_SLOTS, Slots

_FIRST_SLOT_BYTES = 1280 * 720 * 4

_EARLY_S = 0.03
"""A beginning is told so much before its moment: sound needs it to be there in time."""

_TO_THE_SCREEN_S = 0.0015
"""What waking up, reaching the main thread and painting take: a picture sets out so much early."""

Item = Began | Ended | Picture


class Schedule:
    """What is due when; lives on the feed's thread."""

    def __init__(self) -> None:
        self._pending: deque[Item] = deque()

    def add(self, item: Item) -> None:
        """Have something wait."""
        self._pending.append(item)

    def clear(self) -> None:
        """Forget all that waits."""
        self._pending.clear()

    def due_s(self, item: Item) -> float:
        """When something is to set out for the screen, of `time.perf_counter`; 0 for at once."""
        if isinstance(item, Ended):
            return item.at_s
        if isinstance(item, Began):
            return item.at_s - _EARLY_S
        return item.due_s - _TO_THE_SCREEN_S if item.due_s else 0.0

    def left_s(self) -> float | None:
        """Seconds until something is due; None if nothing waits."""
        if not self._pending:
            return None
        return max(self.due_s(self._pending[0]) - time.perf_counter(), 0.0)

    def next_due(self, epoch: int) -> Item | None:
        """Take what is due, or of an earlier wish than `epoch`; None if there is nothing."""
        if not self._pending:
            return None
        item = self._pending[0]
        if item.epoch == epoch and self.due_s(item) > time.perf_counter():
            return None
        return self._pending.popleft()

    @property
    def memories(self) -> set[str]:
        """Names of the memory in which pictures wait."""
        return {item.memory for item in self._pending if isinstance(item, Picture)}


class Memories:
    """The shared memory of one feed: the newest is filled, older ones go when nobody looks."""

    def __init__(self) -> None:
        self._slots: list[Slots] = []
        self.slot_bytes = _FIRST_SLOT_BYTES

    def fresh(self, in_use: set[str]) -> UseMemory:
        """Make new memory; old one in which no picture lies any more is let go."""
        if self._slots:
            in_use = in_use | {self._slots[-1].name}
        for slots in [s for s in self._slots if s.name not in in_use]:
            self._slots.remove(slots)
            slots.close()
        made = Slots(self.slot_bytes)
        self._slots.append(made)
        return UseMemory(made.name, N_SLOTS, self.slot_bytes)

    def find(self, name: str) -> Slots | None:
        """The memory of that name, unless it is gone."""
        return next((slots for slots in self._slots if slots.name == name), None)

    def close(self) -> None:
        """Let go of all; a picture that is still painted keeps its own."""
        for slots in self._slots:
            slots.close()
        self._slots.clear()
