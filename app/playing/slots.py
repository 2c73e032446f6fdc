"""Memory that the desk and a decoder share, in slots of one picture each."""

from __future__ import annotations

from multiprocessing import resource_tracker
from multiprocessing.shared_memory import SharedMemory

import numpy as np
from numpy.typing import NDArray

N_SLOTS = 8
_GRAIN = 1 << 16


class _Memory(SharedMemory):
    """Shared memory that waits with closing until nobody looks at a picture in it."""

    def close(self) -> None:
        try:
            super().close()
        except BufferError:
            return  # closed again when the last picture goes


class Slots:
    """Pictures of at most `slot_bytes` each.

    Parameters
    ----------
    name : str, optional
        Memory that the other process made; a new one is made if left out.
    """

    def __init__(self, slot_bytes: int, n_slots: int = N_SLOTS, name: str | None = None) -> None:
        self.slot_bytes = -(-slot_bytes // _GRAIN) * _GRAIN
        self.n_slots = n_slots
        self._is_own = name is None
        size = self.slot_bytes * n_slots
        self._memory = _Memory(create=True, size=size) if name is None else _attached(name)

    @property
    def name(self) -> str:
        """By which the other process finds it."""
        return self._memory.name

    def view(self, slot: int, width: int, height: int) -> NDArray[np.uint8]:
        """A slot as a BGRA picture: (height, width, 4).

        Raises
        ------
        ValueError
            If the picture is larger than a slot.
        """
        if not 0 <= slot < self.n_slots or width * height * 4 > self.slot_bytes:
            raise ValueError(f"no {width} by {height} picture fits slot {slot}")
        assert self._memory.buf is not None
        # Not ndarray(buffer=...), which does not keep the memory from being unmapped.
        pixels = np.frombuffer(
            self._memory.buf, np.uint8, height * width * 4, slot * self.slot_bytes
        )
        return pixels.reshape(height, width, 4)

    def close(self) -> None:
        """Let go of it; whoever made it takes it away."""
        self._memory.close()
        if self._is_own:
            self._is_own = False
            self._memory.unlink()


def _attached(name: str) -> _Memory:
    """Memory that another process made, and that it alone takes away.

    Before Python 3.13 attaching registers it as if this process had made it, which ends in a
    warning, or in the memory being taken away under the other one.
    """
    register = resource_tracker.register
    resource_tracker.register = lambda *_: None
    try:
        return _Memory(name=name, create=False)
    finally:
        resource_tracker.register = register
