"""A list of callables to tell: how presenters, which know no Qt, reach their views."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, ParamSpec

P = ParamSpec("P")


class Notifier(Generic[P]):
    """Calls every listener, in the order in which they came."""

    def __init__(self) -> None:
        self._listeners: list[Callable[P, object]] = []

    def listen(self, listener: Callable[P, object]) -> None:
        """Call `listener` from now on."""
        self._listeners.append(listener)

    def forget(self, listener: Callable[P, object]) -> None:
        """Call it no longer."""
        self._listeners.remove(listener)

    def tell(self, *arguments: P.args, **named: P.kwargs) -> None:
        """Call every listener with these arguments."""
        for listener in tuple(self._listeners):
            listener(*arguments, **named)
