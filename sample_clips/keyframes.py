"""Values that change over time, given by a few keys with a smooth way between them."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray


def minimum_jerk(u: float) -> float:
    """Return the way covered at share `u` of a minimum-jerk movement (10u^3 - 15u^4 + 6u^5)."""
    u = min(max(u, 0.0), 1.0)
    return u * u * u * (10.0 + u * (6.0 * u - 15.0))


@dataclass(slots=True)
class Keys:
    """A value of fixed width over time: constant before the first and after the last key."""

    times: list[float] = field(default_factory=list)
    values: list[tuple[float, ...]] = field(default_factory=list)

    @classmethod
    def constant(cls, *value: float) -> Keys:
        """Make keys that always give `value`."""
        return cls([0.0], [value])

    def add(self, time_s: float, *value: float) -> Keys:
        """Append a key; its time may not lie before the last one's."""
        if self.times and time_s < self.times[-1] - 1e-9:
            raise ValueError(f"key at {time_s:.3f} s lies before {self.times[-1]:.3f} s")
        self.times.append(time_s)
        self.values.append(tuple(map(float, value)))
        return self

    def hold(self, time_s: float) -> Keys:
        """Repeat the last value at a later time."""
        return self.add(time_s, *self.values[-1])

    def bump(self, start_s: float, end_s: float, *peak: float, ramp_s: float = 0.3) -> Keys:
        """Rise from the last value to `peak`, stay, and come back, within the span."""
        rest = self.values[-1]
        ramp = min(ramp_s, (end_s - start_s) / 2.0)
        self.hold(start_s).add(start_s + ramp, *peak)
        return self.hold(end_s - ramp).add(end_s, *rest)

    @property
    def last(self) -> tuple[float, ...]:
        """Last value added."""
        return self.values[-1]

    def at(self, time_s: float) -> NDArray[np.float64]:
        """Value at a time, shape (width,)."""
        index = int(np.searchsorted(self.times, time_s, side="right"))
        if index == 0:
            return np.array(self.values[0])
        if index == len(self.times):
            return np.array(self.values[-1])
        t0, t1 = self.times[index - 1], self.times[index]
        way = minimum_jerk((time_s - t0) / (t1 - t0))
        a, b = np.array(self.values[index - 1]), np.array(self.values[index])
        return a + (b - a) * way

    def scalar(self, time_s: float) -> float:
        """First component at a time."""
        return float(self.at(time_s)[0])
