"""Whether a window can be shown here."""

from __future__ import annotations

import os
import sys


def has_display() -> bool:
    """Tell by the platform and, on Linux, by what the session says of its display."""
    if sys.platform in {"win32", "darwin"}:
        return True
    if os.environ.get("QT_QPA_PLATFORM", "").startswith(("offscreen", "minimal")):
        return False
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
