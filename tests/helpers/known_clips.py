"""Numbered clips whose frames' exact times are known."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from numbered_clips import make_clip

TICKS_PER_S = 30000
US_PER_S = 1_000_000


@dataclass(frozen=True)
class Known:
    """A numbered clip and the exact times of its frames, in ticks."""

    path: Path
    ticks: Sequence[int]

    @property
    def starts_us(self) -> list[int]:
        """From which whole microsecond of the clip each frame is shown."""
        return [tick * US_PER_S // TICKS_PER_S for tick in self.ticks]

    def shown_at(self, clip_us: int) -> int:
        """Number within the clip of the frame shown at a time."""
        return bisect_right(self.starts_us, clip_us) - 1


def known_clip(path: Path, **changes: object) -> Known:
    """Make a small numbered clip."""
    return Known(path, make_clip(path, width=160, height=120, **changes))
