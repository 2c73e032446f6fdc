"""How much of what a sound device was given has been heard."""

from __future__ import annotations

from collections import deque
from statistics import median

_KEPT = 40
_LEAST = 6
_STALLED_S = 0.15


class HeardClock:
    """Smooths a device's count of what it took, which moves in leaps, into what is heard now.

    Parameters
    ----------
    latency_s : float
        From the device's taking sound to its being heard.
    """

    def __init__(self, latency_s: float) -> None:
        self._latency_s = latency_s
        self._leads: deque[float] = deque(maxlen=_KEPT)
        self._last_s = 0.0
        self._moved_s: float | None = None

    def note(self, now_s: float, taken_s: float) -> None:
        """Hear that, at a moment, the device has taken so much since it began, seconds."""
        if taken_s > self._last_s or self._moved_s is None:
            if taken_s > self._last_s and self._is_stalled(now_s):
                self._leads.clear()  # what it took before, it took at another beat
            self._last_s, self._moved_s = taken_s, now_s
        if self._is_stalled(now_s):
            self._leads.clear()
        elif taken_s > 0:
            self._leads.append(taken_s - now_s)

    @property
    def surely_heard_s(self) -> float:
        """Seconds of sound heard when the device last told."""
        return self._last_s - self._latency_s

    def heard_s(self, now_s: float) -> float | None:
        """Seconds of sound heard by now; None while the device does not run steadily."""
        if len(self._leads) < _LEAST or self._is_stalled(now_s):
            return None
        return now_s + median(self._leads) - self._latency_s

    def _is_stalled(self, now_s: float) -> bool:
        return self._moved_s is not None and now_s - self._moved_s > _STALLED_S
