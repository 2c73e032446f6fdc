"""Times written as people read them, apart from the program's own way of doing so."""

from __future__ import annotations

from datetime import timedelta


def clock_text(ms: int) -> str:
    """Milliseconds as H:MM:SS.mmm."""
    text = str(timedelta(milliseconds=ms))
    return text[:-3] if "." in text else f"{text}.000"
