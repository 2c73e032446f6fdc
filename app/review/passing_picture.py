"""While the pointer passes: a small picture, where the nearest key picture is far off."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from PySide6.QtGui import QImage

from annotate.clip.showing import AS_FILMED
from app.playing.shown import Shown
from app.review.case_pictures import SmallPicture

Nearest = Callable[[int], SmallPicture | None]
_NEARER_US = 3_000_000
"""A small picture has to lie so much nearer to be shown in place of a sharp one."""


def nearer(
    shown: Shown, asked_us: int, nearest: Nearest | None, number_at: Callable[[int], int]
) -> Shown:
    """The picture to show while one passes a case time: the near one, or a small one.

    Parameters
    ----------
    shown : Shown
        What the decoder had at once: the key picture before.
    nearest : callable or None
        From case time to the small picture nearest to it.
    number_at : callable
        From case time to the number of the frame shown then.
    """
    if not shown.is_near or nearest is None:
        return shown
    small = nearest(asked_us)
    if small is None:
        return shown
    away_us, small_us = abs(shown.time_us - asked_us), abs(small.time_us - asked_us)
    image = QImage.fromData(small.content) if small_us + _NEARER_US < away_us else QImage()
    if image.isNull():
        return shown
    return replace(
        shown,
        pixels=_pixels(image),
        number=number_at(small.time_us),
        time_us=small.time_us,
        until_us=small.time_us + 1,
        framing=AS_FILMED,
    )


def _pixels(image: QImage) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    """Its own BGRA array."""
    plain = image.convertToFormat(QImage.Format.Format_RGB32)
    rows = np.frombuffer(plain.constBits(), np.uint8)
    return rows.reshape(plain.height(), plain.bytesPerLine() // 4, 4)[:, : plain.width()].copy()
