"""The frame on the clipboard, and the name of a still."""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QGuiApplication, QImage

from annotate.clock import format_time


def image_of(rgb: NDArray[np.uint8]) -> QImage:
    """A picture for Qt, with memory of its own.

    Parameters
    ----------
    rgb : ndarray of uint8, shape (height, width, 3)
    """
    height, width = rgb.shape[:2]
    packed = np.ascontiguousarray(rgb)
    return QImage(packed.data, width, height, 3 * width, QImage.Format.Format_RGB888).copy()


def to_clipboard(image: QImage) -> None:
    """Put a picture on the clipboard; it carries nothing but its pixels."""
    for key in image.textKeys():
        image.setText(key, "")
    QGuiApplication.clipboard().setImage(image)


def still_name(code: str, number: int, time_us: int) -> str:
    """Name a still by the case's code, its frame and its time; never by the source's name."""
    hours, minutes, seconds = format_time(time_us).split(":")
    told = re.sub(r"[^0-9A-Za-z-]+", "-", code).strip("-") or "case"
    return f"{told}-frame-{number}-{hours}h{minutes}m{seconds.replace('.', 's')}.png"
