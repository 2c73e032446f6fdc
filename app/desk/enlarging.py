"""Everything larger, for far eyes and for a projector: words, buttons, timeline together."""

from __future__ import annotations

import os
from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.desk.window import DeskWindow

SIZES = (100, 125, 150, 175, 200)
"""Per cent of the usual size; on top of what the system asks for."""
_VARIABLE = "QT_SCALE_FACTOR"


def prepare_size(percent: int) -> None:
    """Have Qt draw everything larger; before the application is made. What is set stays."""
    if percent in SIZES[1:] and _VARIABLE not in os.environ:
        os.environ[_VARIABLE] = f"{percent / 100:g}"


class Enlarging:
    """Chooses how large everything is drawn from the next start on."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window

    def step(self, by: int) -> None:
        """One size up (1) or down (-1), kept and said; Qt sizes a program when it starts."""
        window = self._window
        now = window.settings.size_percent
        place = SIZES.index(now) if now in SIZES else 0
        wanted = SIZES[max(0, min(place + by, len(SIZES) - 1))]
        if wanted == now:
            most = "no larger" if by > 0 else "no smaller"
            window.message_bar.say(f"Everything is drawn at {now} % already, and {most}.")
            return
        window.keep_settings(replace(window.settings, size_percent=wanted))
        window.message_bar.say(
            f"Everything is drawn at {wanted} % from the next start on. All is kept; close the "
            "desk and open it again."
        )
