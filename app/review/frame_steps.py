"""From a moment to the moment some frames on: by the clip's own frame times, never by a rate."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

Steps = Callable[[int, int], int]
"""Case time and frames (negative: back) to case time."""


class FrameTimes(Protocol):
    """What knows the frames of a case."""

    def number_at(self, time_us: int) -> int:
        """Number of the frame shown at a case time."""

    def time_of(self, number: int) -> int:
        """Case time from which a frame is shown."""


def stepped(frames: FrameTimes, n_frames: int, length_us: int, time_us: int, by: int) -> int:
    """The time some frames on or back.

    Parameters
    ----------
    n_frames : int
        Of the case, at least 1.
    length_us : int
        Of the case; its end is one step on from the start of the last frame.
    by : int
        Frames. Between two frames the first step goes to the nearer frame in its direction.

    Returns
    -------
    int
        Time of a frame, or the end of the case; `time_us` itself where `by` is 0.
    """
    if by == 0:
        return time_us
    number, own_us = n_frames, length_us
    if time_us < length_us:
        number = frames.number_at(time_us)
        own_us = frames.time_of(number)
    if by < 0 and time_us > own_us:
        by += 1  # the start of the frame that is shown is a step back already
    elif by > 0 and time_us < own_us:
        by -= 1  # in a gap the next frame is shown
    target = max(number + by, 0)
    return length_us if target >= n_frames else frames.time_of(target)
