"""What of a case a reviewer has watched, and how fast."""

from __future__ import annotations

from dataclasses import dataclass

from annotate.tags import check_span


@dataclass(frozen=True, slots=True)
class Watched:
    """A stretch that ran before the reviewer's eyes.

    Attributes
    ----------
    start_us, end_us : int
        Case time, microseconds.
    speed : float
        Above 0; 1 is as filmed.
    """

    start_us: int
    end_us: int
    speed: float

    def __post_init__(self) -> None:
        check_span(self.start_us, self.end_us)
        if not self.speed > 0:
            raise ValueError("a speed is above 0")
