"""How a clip is run through at a speed: when each picture is due, and which ones are decoded.

As long as every frame can be decoded in time, every one is. Above that, frames that nothing refers
to are left out; above that, the run hops from key picture to key picture. What decoding costs is
measured while running.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.playing.answers import Way

US_PER_S = 1_000_000
SHOWN_A_SECOND = 60
"""More pictures a second than a screen can show are not converted."""

_SLACK_US = 1_000
_FULL = 0.92
"""Part of the time that decoding may take before frames are left out."""

_ENOUGH_FRAMES = 12
_LATE_S = 0.35
_USUAL_SPEED = 2.0
"""Up to here every frame should be decoded: where it was not, that is tried again."""

_TRIED_AGAIN_S = 5.0
_MEMORY = 0.95
"""What a frame's cost counts for, one frame later."""


@dataclass(slots=True)
class RunClock:
    """Case time against the machine's clock, seconds of `time.perf_counter`."""

    at_s: float
    case_us: int
    speed: float

    def due_s(self, case_us: int) -> float:
        """When a case time is due."""
        return self.at_s + (case_us - self.case_us) / US_PER_S / self.speed

    def us_at(self, now_s: float) -> int:
        """Which case time is due now."""
        return self.case_us + round((now_s - self.at_s) * self.speed * US_PER_S)


class Pace:
    """Chooses how to go on at a speed.

    Parameters
    ----------
    speed : float
        Case time over real time.
    fps : float
        Frames a second of the clip.
    way : Way
        How this clip went at this speed before.
    """

    def __init__(self, speed: float, fps: float, way: Way = Way.EVERY) -> None:
        self._speed = abs(speed)
        self._fps = fps
        self.way = way
        self._n_decoded = 0
        self._seconds = 0.0
        self._frames = 0.0
        self.n_dropped = 0

    @property
    def step_us(self) -> int:
        """Least case time from one shown picture to the next."""
        return max(0, round(self._speed * US_PER_S / SHOWN_A_SECOND) - _SLACK_US)

    @property
    def reach(self) -> float | None:
        """Speed that decoding allows on this way; None while it is not known."""
        if self._n_decoded < _ENOUGH_FRAMES or self._seconds <= 0:
            return None
        return self._frames / self._seconds / self._fps

    @property
    def _is_to_be_tried_again(self) -> bool:
        """Whether frames are left out for some seconds now at a speed where that is not usual."""
        ran_s = self._n_decoded / self._fps / self._speed
        is_left_out = self.way is Way.REFERENCED and self._speed <= _USUAL_SPEED
        return is_left_out and ran_s > _TRIED_AGAIN_S

    def note(self, n_frames: int, spent_s: float, late_s: float) -> bool:
        """Take note of a decoded picture; True if the way has changed.

        Parameters
        ----------
        n_frames : int
            How far on it lies from the picture before.
        spent_s, late_s : float
            What it took; by how much it came too late.
        """
        self._n_decoded += n_frames
        self._seconds = self._seconds * _MEMORY**n_frames + spent_s
        self._frames = self._frames * _MEMORY**n_frames + n_frames
        if self._is_to_be_tried_again:
            self.way = Way.EVERY
            self._n_decoded, self._seconds, self._frames = 0, 0.0, 0.0
            return True
        reach = self.reach
        is_too_slow = reach is not None and reach * _FULL < self._speed and late_s > 0
        if self.way is Way.KEYS or not (is_too_slow or late_s > _LATE_S):
            return False
        self.way = Way.REFERENCED if self.way is Way.EVERY else Way.KEYS
        self._n_decoded, self._seconds, self._frames = 0, 0.0, 0.0
        return True
