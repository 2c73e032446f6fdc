"""What a recorder's own clocks say about two parts: time codes, running clocks, times of making.

Time codes count frames (SMPTE ST 12-1; drop-frame ones leave out two numbers a minute, not every
tenth). Transport and program streams carry a clock of 33 bits at 90 kHz that may run on from file
to file (ISO/IEC 13818-1). Both formats from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from pathlib import Path

from annotate.clip.index import ClipIndex
from annotate.clip.opening import open_clip
from annotate.clip.packets import UNKNOWN
from annotate.clock import US_PER_S

_RUNNING = {"mpegts", "mpeg"}
"""Kinds of file that carry the recorder's running clock."""

_WRAP_US = 2**33 * US_PER_S // 90_000
_DAY_US = 24 * 3600 * US_PER_S
_TIMECODE = re.compile(r"(\d{2}):(\d{2}):(\d{2})([:;.])(\d{2})", re.ASCII)
_LONGEST_GAP_US = 12 * 3600 * US_PER_S
"""A clock that is further on than this counts something else."""


@dataclass(frozen=True, slots=True)
class ClockFacts:
    """What one file says of its time; None where it says nothing.

    Attributes
    ----------
    timecode_us, running_us : int or None
        Start of the part by its time code, and by the stream's running clock.
    made_at : datetime or None
        When the file says that it was made; to the second.
    """

    duration_us: int
    timecode_us: int | None = None
    running_us: int | None = None
    made_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ClockVerdict:
    """What the clocks of two files say of the time between them.

    Attributes
    ----------
    name : str
        Which clock: ``time code``, ``running clock``, ``time of making``; empty where none tells.
    gap_us : int or None
        From the end of one to the start of the next; below 0 for an overlap.
    starts_again : bool
        Whether the clock begins anew, so that it tells nothing.
    resolution_us : int
        How finely it tells.
    """

    name: str = ""
    gap_us: int | None = None
    starts_again: bool = False
    resolution_us: int = 0


def clock_facts(path: Path | str, index: ClipIndex) -> ClockFacts:
    """Read what a clip's file says of its time; its pictures are left alone.

    Raises
    ------
    UserFacingError
        If it cannot be opened.
    """
    with open_clip(path) as clip:
        texts = list(_texts(clip.container, "timecode"))
        made = list(_texts(clip.container, "creation_time"))
    running = None
    if index.container.split(",")[0] in _RUNNING and int(index.pts[0]) != UNKNOWN:
        running = int(int(index.pts[0]) * index.time_base * US_PER_S)
    code = next((c for c in (timecode_us(t, index.fps_mean) for t in texts) if c is not None), None)
    when = next((m for m in map(_moment, made) if m is not None), None)
    return ClockFacts(index.duration_us, code, running, when)


def timecode_us(text: str, fps: Fraction) -> int | None:
    """Microseconds from midnight of a time code HH:MM:SS:FF; `;` before the frame: drop-frame.

    Returns
    -------
    int or None
        None where the text is no time code.
    """
    found = _TIMECODE.fullmatch(text.strip())
    if found is None or fps <= 0:
        return None
    hours, minutes, seconds, frames = (int(found[n]) for n in (1, 2, 3, 5))
    base = max(1, round(fps))
    if hours > 23 or minutes > 59 or seconds > 59 or frames >= base:
        return None
    count = ((hours * 60 + minutes) * 60 + seconds) * base + frames
    if found[4] in ";.":
        passed = hours * 60 + minutes
        count -= (passed - passed // 10) * (2 * base // 30 if base >= 30 else 2)
    return int(count / fps * US_PER_S)


def between(one: ClockFacts, other: ClockFacts) -> ClockVerdict:
    """What the clocks say of the time between two parts; the finest one that tells."""
    verdicts = [
        _counted("time code", one.timecode_us, other.timecode_us, one.duration_us, _DAY_US),
        _counted("running clock", one.running_us, other.running_us, one.duration_us, _WRAP_US),
        _by_making(one, other),
    ]
    telling = [v for v in verdicts if v.gap_us is not None]
    again = [v for v in verdicts if v.starts_again]
    return next(iter([*telling, *again]), ClockVerdict())


def _counted(
    name: str, start_us: int | None, next_us: int | None, duration_us: int, wraps_us: int
) -> ClockVerdict:
    if start_us is None or next_us is None:
        return ClockVerdict()
    gap_us = (next_us - start_us - duration_us) % wraps_us
    gap_us = gap_us - wraps_us if gap_us > wraps_us // 2 else gap_us
    begins_again = next_us <= start_us + min(US_PER_S, duration_us // 2) and gap_us < 0
    if begins_again or gap_us > _LONGEST_GAP_US or gap_us <= -duration_us:
        return ClockVerdict(name, starts_again=True)
    return ClockVerdict(name, gap_us, resolution_us=1000)


def _by_making(one: ClockFacts, other: ClockFacts) -> ClockVerdict:
    """Files are stamped when they begin or when they end; told only where both come to the same."""
    if one.made_at is None or other.made_at is None or one.made_at == other.made_at:
        return ClockVerdict()
    apart_us = round((other.made_at - one.made_at).total_seconds() * US_PER_S)
    gaps = [apart_us - one.duration_us, apart_us - other.duration_us]
    fine = 2 * US_PER_S
    if min(gaps) < -fine or max(gaps) > _LONGEST_GAP_US or abs(gaps[0] - gaps[1]) > fine:
        return ClockVerdict()
    return ClockVerdict("time of making", max(0, min(gaps)), resolution_us=fine)


def _texts(container: object, key: str) -> Iterator[str]:
    """What the file and its streams say under a key."""
    for holder in (container, *getattr(container, "streams", ())):
        value = dict(getattr(holder, "metadata", {}) or {}).get(key)
        if value:
            yield str(value)


def _moment(text: str) -> datetime | None:
    try:
        found = datetime.fromisoformat(text.strip())
    except ValueError:
        return None
    return None if found.year < 1980 or found.tzinfo is None else found
