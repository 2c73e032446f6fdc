"""What long work is given: somewhere to say how far it is, and a way to be stopped."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field


class Cancelled(Exception):  # noqa: N818 - a wish, not an error
    """The user stopped the work; nothing of it was kept."""


@dataclass(slots=True)
class Work:
    """Progress and cancelling of one long piece of work.

    The worker writes, whoever shows it reads at a rate of its own; no lock is needed because
    each field is one assignment.

    Attributes
    ----------
    title : str
        What is being done, for the user.
    done, total : float
        In any unit; `total` 0 means not yet known.
    decodes_apart : bool
        Whether clips are to be decoded in a process of their own, as a crash would cost a window.
    is_derived : bool
        Whether it is begun again by itself when it was stopped.
    """

    title: str = ""
    done: float = 0.0
    total: float = 0.0
    cancel: threading.Event = field(default_factory=threading.Event)
    clock: Callable[[], float] = time.monotonic
    decodes_apart: bool = False
    is_derived: bool = False
    started_s: float = field(init=False)

    def __post_init__(self) -> None:
        self.started_s = self.clock()

    def advance(self, done: float, total: float = 1.0) -> None:
        """Say how far the work is.

        Raises
        ------
        Cancelled
            If the user has asked to stop.
        """
        self.done, self.total = done, total
        self.check()

    def check(self) -> None:
        """Stop here if the user has asked to.

        Raises
        ------
        Cancelled
            If so.
        """
        if self.cancel.is_set():
            raise Cancelled

    @property
    def share(self) -> float | None:
        """Part done, 0 to 1; None while unknown."""
        return min(self.done / self.total, 1.0) if self.total > 0 else None

    @property
    def left_s(self) -> float | None:
        """Seconds left at the rate so far; None until that can be told."""
        share, spent_s = self.share, self.spent_s
        if not share or spent_s < 0.5:
            return None
        return spent_s * (1 - share) / share

    @property
    def spent_s(self) -> float:
        """Seconds since the work was asked for."""
        return self.clock() - self.started_s
