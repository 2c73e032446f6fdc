"""Case time: whole microseconds from the first frame of a case's first clip."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate
from math import isfinite
from typing import NewType

from annotate.errors import UserFacingError

CaseTime = NewType("CaseTime", int)
US_PER_S = 1_000_000
LONGEST_US = 1000 * 3600 * US_PER_S
"""A time beyond 1000 hours is a slip of the keyboard, not a case."""

_CLOCK = re.compile(
    r"(?P<sign>-?)(?:(?P<h>\d{1,4}):)?(?P<m>\d{1,2}):(?P<s>\d{1,2}(?:\.\d{1,9})?)", re.ASCII
)
_SECONDS = re.compile(r"[+-]?(?:\d{1,12}(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,2})?", re.ASCII)


def parse_time(text: str) -> CaseTime:
    """Read a time written as seconds or as H:MM:SS.mmm.

    Parameters
    ----------
    text : str
        ``"74.815"``, ``"1:14.815"`` or ``"0:01:14.815"``.

    Returns
    -------
    CaseTime
        Microseconds, rounded to the nearest; never negative.

    Raises
    ------
    UserFacingError
        If the text is no time, is negative, not a number, or beyond 1000 hours.
    """
    stripped = text.strip()
    how = "Write seconds (74.8) or H:MM:SS.mmm (0:01:14.800)."
    clock = _CLOCK.fullmatch(stripped)
    if clock:
        minutes, seconds = int(clock["m"]), float(clock["s"])
        if seconds >= 60 or (clock["h"] and minutes >= 60):
            raise UserFacingError(f"'{shown(text)}' is not a time: 60 starts the next unit.", how)
        value = int(clock["h"] or 0) * 3600.0 + minutes * 60.0 + seconds
        value = -value if clock["sign"] else value
    elif _SECONDS.fullmatch(stripped):
        value = float(stripped)
    else:
        raise UserFacingError(f"'{shown(text)}' is not a time.", how)
    if not isfinite(value) or value * US_PER_S > LONGEST_US:
        raise UserFacingError(f"'{shown(text)}' is longer than any case.", how)
    if value < 0:
        raise UserFacingError(f"'{shown(text)}' lies before the case begins.", how)
    return CaseTime(round(value * US_PER_S))


def format_time(time_us: int) -> str:
    """Write a time as H:MM:SS.mmm, rounded half to even at the millisecond."""
    return _clock_text(to_ms(time_us), ".")


def to_ms(time_us: int) -> int:
    """Round microseconds to milliseconds, half to even: the one rounding of every export."""
    ms, rest = divmod(time_us, 1000)
    if rest > 500 or (rest == 500 and ms % 2):
        ms += 1
    return ms


def short_time(time_us: int) -> str:
    """Write a time as M:SS or H:MM:SS, cut to the second, for rulers and sentences."""
    total = time_us // US_PER_S
    hours, rest = divmod(total, 3600)
    minutes, seconds = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{seconds:02d}" if hours else f"{minutes}:{seconds:02d}"


def seconds(time_us: int) -> float:
    """Convert to seconds for plots and documents."""
    return time_us / US_PER_S


def shown(text: str, most: int = 40) -> str:
    """Cut foreign text so that a sentence which quotes it stays a sentence."""
    flat = " ".join(text.split())
    printable = "".join(c if c.isprintable() else "?" for c in flat)
    return printable if len(printable) <= most else printable[: most - 1] + "…"


def _clock_text(total_ms: int, point: str) -> str:
    total, ms = divmod(total_ms, 1000)
    hours, rest = divmod(total, 3600)
    minutes, secs = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{secs:02d}{point}{ms:03d}"


class CaseClock:
    """Clips end to end on one clock.

    Parameters
    ----------
    durations_us : sequence of int
        Length of each clip in order, microseconds, all above zero.
    """

    def __init__(self, durations_us: Sequence[int]) -> None:
        if any(d <= 0 for d in durations_us):
            raise ValueError("a clip must last longer than nothing")
        self._starts = [0, *accumulate(durations_us)]

    @property
    def duration_us(self) -> int:
        """Length of the whole case, microseconds."""
        return self._starts[-1]

    @property
    def n_clips(self) -> int:
        """How many clips there are."""
        return len(self._starts) - 1

    def start_of(self, ordinal: int) -> CaseTime:
        """Case time at which clip `ordinal` (from 0) begins."""
        if not 0 <= ordinal < self.n_clips:
            raise IndexError(f"no clip {ordinal} of {self.n_clips}")
        return CaseTime(self._starts[ordinal])

    def to_case(self, ordinal: int, clip_us: int) -> CaseTime:
        """Case time of a moment within a clip."""
        return CaseTime(self.start_of(ordinal) + clip_us)

    def to_clip(self, case_us: int) -> tuple[int, int]:
        """Clip ordinal and time within it; a time past the end stays in the last clip.

        Raises
        ------
        ValueError
            If there is no clip or the time is negative.
        """
        if case_us < 0 or self.n_clips == 0:
            raise ValueError("before the case begins, or a case without clips")
        ordinal = min(bisect_right(self._starts, case_us) - 1, self.n_clips - 1)
        return ordinal, case_us - self._starts[ordinal]
