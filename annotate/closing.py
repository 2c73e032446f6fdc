"""What is closed at the end of a `with`, however it ends."""

from __future__ import annotations

from abc import ABC, abstractmethod
from types import TracebackType
from typing import Self


class Closing(ABC):
    """Has a `close` that a `with` calls."""

    @abstractmethod
    def close(self) -> None:
        """Let go of what is held; once more does nothing."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()
