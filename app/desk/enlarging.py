"""Everything larger, for far eyes and for a projector: words, buttons, timeline together."""

from __future__ import annotations

import os
from dataclasses import replace
from typing import TYPE_CHECKING

from app.commands.table import action

if TYPE_CHECKING:
    from PySide6.QtCore import QProcessEnvironment

    from app.desk.again import Place
    from app.desk.window import DeskWindow

SIZES = (100, 125, 150, 175, 200)
"""Per cent of the usual size; on top of what the system asks for."""
_VARIABLE = "QT_SCALE_FACTOR"
_set_here: set[str] = set()
"""What this process has put into the variable, which its children must not take for a wish."""


def prepare_size(percent: int) -> None:
    """Have Qt draw everything larger; before the application is made. What is set stays."""
    if percent in SIZES[1:] and _VARIABLE not in os.environ:
        os.environ[_VARIABLE] = f"{percent / 100:g}"
        _set_here.add(os.environ[_VARIABLE])


def forget_size(environment: QProcessEnvironment) -> None:
    """Leave the next process to its own settings; a size that the system set stays."""
    if environment.value(_VARIABLE) in _set_here:
        environment.remove(_VARIABLE)


class Enlarging:
    """Chooses how large everything is drawn from the next start on, and starts again.

    Attributes
    ----------
    again : Place or None
        Where a desk is to be started again once this one is closed.
    """

    def __init__(self, window: DeskWindow) -> None:
        self._window = window
        self._drawn_percent = window.settings.size_percent
        self.again: Place | None = None

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
        if wanted == self._drawn_percent:
            window.message_bar.say(f"Everything stays at {wanted} %, as it is now.")
            return
        key = action("start-again").key
        window.message_bar.say(
            f"Everything is drawn at {wanted} % from the next start on. {key} starts the desk "
            "again at this place.",
            deeds=[("Start again now", self.start_again)],
        )

    def start_again(self) -> None:
        """Close the desk, and have it opened again where the viewer is."""
        from app.desk.again import place_in

        window = self._window
        work = window.background.asked_for
        if work is not None:
            window.message_bar.say(f"Still at work: {work.title}. Start again when it is done.")
            return
        if window.review is not None and window.review.comment_box.text.toPlainText().strip():
            window.message_bar.say("A comment is not kept yet. Press Return to keep it, or Escape.")
            return
        self.again = place_in(window)
        window.close()
