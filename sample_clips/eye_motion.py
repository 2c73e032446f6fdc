"""How the eye moves in the view: slow drift, breathing, and sudden excursions."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from sample_clips.geometry import LIMBUS_R, Array
from sample_clips.keyframes import Keys
from sample_clips.scenario import Excursion

RISE_S = 0.32
THRESHOLD_LIMBUS_RADII = 0.1


class EyeMotion:
    """The eye's place over time, as a smooth function.

    Parameters
    ----------
    rng : numpy.random.Generator
        Picks the drift's phases.
    drift_mm : float
        Size of the slow drift.
    excursions : sequence of Excursion
        Sudden moves away and back.
    """

    def __init__(
        self, rng: np.random.Generator, drift_mm: float, excursions: Sequence[Excursion]
    ) -> None:
        self._drift_mm = drift_mm
        self._phase = rng.uniform(0, 2 * np.pi, (2, 3))
        self._period = np.array([rng.uniform(19, 27, 2), rng.uniform(9, 13, 2), [3.9, 4.3]]).T
        self._excursions = [(excursion, _way(excursion)) for excursion in excursions]

    def drift(self, time_s: float) -> Array:
        """Slow part of the displacement, mm, shape (2,)."""
        angle = 2 * np.pi * time_s / self._period + self._phase
        share = np.array([0.7, 0.34, 0.06])
        return np.asarray(self._drift_mm * (np.sin(angle) * share).sum(axis=1))

    def displacement(self, time_s: float) -> Array:
        """Whole displacement from the primary position, mm in the limbus plane, shape (2,)."""
        total = self.drift(time_s)
        for excursion, way in self._excursions:
            share = way.scalar(time_s)
            if share:
                angle = math.radians(excursion.angle_deg)
                reach = share * excursion.peak_limbus_radii * LIMBUS_R
                total = total + reach * np.array([math.cos(angle), math.sin(angle)])
        return total

    def torsion_deg(self, time_s: float) -> float:
        """Turn of the eye about the line of sight, degrees."""
        return float(1.6 * np.sin(2 * np.pi * time_s / 31.0 + self._phase[0, 0]))


def _way(excursion: Excursion) -> Keys:
    """Share of the peak over time: out, stay, back."""
    start = excursion.start_s
    keys = Keys().add(start, 0.0).add(start + RISE_S, 1.0)
    keys.add(start + RISE_S + excursion.hold_s, 1.0)
    return keys.add(start + 2.25 * RISE_S + excursion.hold_s, 0.0)


def excursion_span(excursion: Excursion) -> tuple[float, float]:
    """First and last moment at which the excursion alone is beyond 0.1 limbus radii."""
    way = _way(excursion)
    times = np.arange(way.times[0], way.times[-1], 0.002)
    size = np.array([way.scalar(t) for t in times]) * excursion.peak_limbus_radii
    beyond = times[size > THRESHOLD_LIMBUS_RADII]
    return float(beyond[0]), float(beyond[-1])
