"""Real deeds that stop in the middle until they may go on: the test sets the moment, no machine.

The deed runs in its own process as it always does; only where it says how far it is, it is held.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from app.jobs.work import Work

_LOOK_S = 0.01


def held(
    deed: Callable[..., Any], gate: Path, share: float = 0.0, name: str | None = None
) -> Callable[..., Any]:
    """A deed for `apart` that is held once more than `share` is done, until `gate` is there.

    It can be called off and killed meanwhile. Where a file's `name` is given, deeds with others
    run freely.
    """
    return partial(_held, deed, gate, share, name)


def _held(
    deed: Callable[..., Any], gate: Path, share: float, name: str | None, *args: Any, work: Work
) -> Any:
    is_meant = name is None or args[0].name == name
    return deed(*args, work=_HeldWork(work, gate, share) if is_meant else work)


class _HeldWork(Work):
    def __init__(self, work: Work, gate: Path, share: float) -> None:
        super().__init__(work.title, cancel=work.cancel)
        self._told, self._gate, self._from = work, gate, share

    def advance(self, done: float, total: float = 1.0) -> None:
        self._told.advance(done, total)
        while self._from < done / total < 1 and not self._gate.exists():
            self.cancel.wait(_LOOK_S)
            self._told.advance(done, total)  # again and again, as not every word is sent on
