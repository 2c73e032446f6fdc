"""Ticks of a clip's time base as microseconds."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from annotate.clock import US_PER_S


def floor_us(ticks: NDArray[np.int64], time_base: Fraction) -> NDArray[np.int64]:
    """Convert ticks to microseconds, rounded down, exactly."""
    scale = time_base * US_PER_S
    most = int(ticks.max(initial=0)) * scale.numerator
    if most < 2**62:
        return ticks * np.int64(scale.numerator) // np.int64(scale.denominator)
    exact = [int(t) * scale.numerator // scale.denominator for t in ticks]
    return np.array(exact, dtype=np.int64)
