"""A list of callables to tell: how presenters, which know no Qt, reach their views."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Generic, ParamSpec

P = ParamSpec("P")


class Notifier(Generic[P]):
    """Calls every listener, in the order in which they came."""

    def __init__(self) -> None:
        self._listeners: list[Callable[P, object]] = []
        self._is_gathering = False
        self._gathered: list[Callable[[], None]] = []

    def listen(self, listener: Callable[P, object]) -> None:
        """Call `listener` from now on."""
        self._listeners.append(listener)

    def forget(self, listener: Callable[P, object]) -> None:
        """Call it no longer."""
        self._listeners.remove(listener)

    def tell(self, *arguments: P.args, **named: P.kwargs) -> None:
        """Call every listener with these arguments."""
        if self._is_gathering:
            self._gathered = [lambda: self.tell(*arguments, **named)]
            return
        for listener in tuple(self._listeners):
            listener(*arguments, **named)

    @contextmanager
    def gathered(self) -> Iterator[None]:
        """Within the block listeners are told nothing; at its end, once, what was told last."""
        if self._is_gathering:
            yield
            return
        self._is_gathering = True
        try:
            yield
        finally:
            self._is_gathering = False
            last, self._gathered = self._gathered, []
            for telling in last:
                telling()
