"""How a run goes on, in words: long where there is room, and short."""

from __future__ import annotations

from app.playing.answers import Pace, Way

_SHORT = {Way.EVERY: "", Way.REFERENCED: "fewer frames", Way.KEYS: "key pictures"}
_HELD = 0.97
"""Part of the wished speed from which on it counts as reached."""


def pace_words(pace: Pace | None, wished: float) -> tuple[str, str]:
    """Say which frames are shown and how fast, where it is not every frame as fast as wished.

    Parameters
    ----------
    pace : Pace or None
        None where nothing runs.
    wished : float
        The speed asked for.

    Returns
    -------
    tuple of str
        Long and short; both empty where there is nothing to say.
    """
    if pace is None:
        return "", ""
    long = [] if pace.way is Way.EVERY else [f"shows {pace.way.value}"]
    short = [_SHORT[pace.way]] if _SHORT[pace.way] else []
    if pace.speed < abs(wished) * _HELD:
        long.append(f"this clip runs no faster than × {pace.speed:.1f} here")
        short.append(f"really × {pace.speed:.1f}")
    return "; ".join(long), ", ".join(short)
