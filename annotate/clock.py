"""Case time: whole microseconds from the first frame of a case's first clip."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
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
    """The parts of a case on one clock, in order.

    A part may leave a gap before it, in which nothing was recorded, or overlap the part before:
    what it repeats is left out, and the clock goes on from the part before without a break.

    Parameters
    ----------
    durations_us : sequence of int
        Length of each part in order, microseconds, all above zero.
    leads_us : sequence of int, optional
        What lies before each part: a gap above zero, an overlap below; all 0 if left out. The
        first is 0, and an overlap is shorter than its part and than what the part before shows.

    Raises
    ------
    ValueError
        If a length or a lead cannot be so.
    """

    def __init__(self, durations_us: Sequence[int], leads_us: Sequence[int] | None = None) -> None:
        if any(d <= 0 for d in durations_us):
            raise ValueError("a clip must last longer than nothing")
        leads = list(leads_us) if leads_us is not None else [0] * len(durations_us)
        self._origins: list[int] = []
        self._begins: list[int] = []
        self._ends: list[int] = []
        for duration_us, lead_us in zip(durations_us, leads, strict=True):
            end_us = self._ends[-1] if self._ends else 0
            if not self._ends and lead_us:
                raise ValueError("nothing lies before the first part")
            if lead_us < 0 and -lead_us >= min(duration_us, end_us - self._begins[-1]):
                raise ValueError("an overlap is shorter than either part")
            self._origins.append(end_us + lead_us)
            self._begins.append(max(end_us, end_us + lead_us))
            self._ends.append(end_us + lead_us + duration_us)

    @property
    def duration_us(self) -> int:
        """Length of the whole case, microseconds."""
        return self._ends[-1] if self._ends else 0

    @property
    def n_clips(self) -> int:
        """How many clips there are."""
        return len(self._ends)

    @property
    def gaps(self) -> tuple[tuple[CaseTime, CaseTime], ...]:
        """Start and end of each stretch in which nothing was recorded, in order."""
        edges = zip(self._ends, self._begins[1:], strict=False)
        return tuple((CaseTime(start), CaseTime(end)) for start, end in edges if end > start)

    def start_of(self, ordinal: int) -> CaseTime:
        """Case time from which clip `ordinal` (from 0) is shown."""
        self._check(ordinal)
        return CaseTime(self._begins[ordinal])

    def end_of(self, ordinal: int) -> CaseTime:
        """Case time at which clip `ordinal` ends; after it comes the next one, or a gap."""
        self._check(ordinal)
        return CaseTime(self._ends[ordinal])

    def left_out_us(self, ordinal: int) -> int:
        """How much of a clip's beginning repeats the part before and is not shown."""
        self._check(ordinal)
        return self._begins[ordinal] - self._origins[ordinal]

    def to_case(self, ordinal: int, clip_us: int) -> CaseTime:
        """Case time of a moment within a clip.

        A moment that is left out as an overlap is at the equal one of the part before.
        """
        self._check(ordinal)
        return CaseTime(self._origins[ordinal] + clip_us)

    def to_clip(self, case_us: int) -> tuple[int, int]:
        """Clip ordinal and time within it.

        A time in a gap, or past the end, lies past the end of the clip before.

        Raises
        ------
        ValueError
            If there is no clip or the time is negative.
        """
        if case_us < 0 or self.n_clips == 0:
            raise ValueError("before the case begins, or a case without clips")
        ordinal = bisect_right(self._begins, case_us) - 1
        return ordinal, case_us - self._origins[ordinal]

    def after_gap(self, case_us: int) -> CaseTime:
        """The same time, or the end of the gap that it lies in."""
        ordinal, _ = self.to_clip(case_us)
        if ordinal + 1 < self.n_clips and case_us >= self._ends[ordinal]:
            return CaseTime(self._begins[ordinal + 1])
        return CaseTime(case_us)

    def _check(self, ordinal: int) -> None:
        if not 0 <= ordinal < self.n_clips:
            raise IndexError(f"no clip {ordinal} of {self.n_clips}")
