"""The reaction time: an event tagged while the clip plays is set back by it, and can be put back.

No Qt. A presenter owns one; the pad shows it, the settings keep it.
"""

from __future__ import annotations

from annotate.clock import US_PER_S
from annotate.ids import RowId
from app.notify import Notifier

STEP_S = 0.1
MOST_S = 2.0


class ReactionOffset:
    """How far an event is set back, and where its key was pressed.

    Parameters
    ----------
    seconds : float
        Of the viewer's time; at twice the speed it is twice as much of the case.

    Attributes
    ----------
    pressed_us : dict
        Case time of the key press of each event that was set back since the case was opened.
    changed : Notifier
        Told when another offset is chosen.
    """

    def __init__(self, seconds: float) -> None:
        self.seconds = _bounded(seconds)
        self.pressed_us: dict[RowId, int] = {}
        self.changed: Notifier[[]] = Notifier()

    def back_us(self, speed: float, *, is_playing: bool) -> int:
        """How far an event is set back now, microseconds of the case; standing, not at all."""
        return round(self.seconds * speed * US_PER_S) if is_playing else 0

    def change(self, steps: int) -> str:
        """Set events farther back or less far, a tenth of a second a step; says how it is now."""
        seconds = _bounded(self.seconds + steps * STEP_S)
        if seconds != self.seconds:
            self.seconds = seconds
            self.changed.tell()
        return f"While the clip plays, {self.words}; while it stands, where it stands."

    @property
    def words(self) -> str:
        """How it is, in a few words."""
        if not self.seconds:
            return "events stay at the key press"
        return f"events go {self.seconds:.1f} s back"


def _bounded(seconds: float) -> float:
    return round(max(0.0, min(seconds, MOST_S)), 1)
