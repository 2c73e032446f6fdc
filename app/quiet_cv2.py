"""Keep OpenCV's own copy of Qt out of the desk's way.

Importing cv2 on Linux points Qt's plugin and font folders at the Qt 5 that its wheel carries;
a window of another Qt then fails to start. Whoever makes a QApplication calls this first.
"""

from __future__ import annotations

import os
from pathlib import Path

import cv2

_VARIABLES = ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_QPA_FONTDIR")


def quiet_cv2() -> None:
    """Unset what importing cv2 set for its own Qt; what the user set stays."""
    own = Path(cv2.__file__).resolve().parent
    for name in _VARIABLES:
        value = os.environ.get(name)
        if value and Path(value).resolve().is_relative_to(own):
            del os.environ[name]
