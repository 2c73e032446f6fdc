"""What is shown where the pointer rests."""

from __future__ import annotations

from html import escape


def pointed_words(text: str) -> str:
    """Text for a tooltip: broken into lines where it is long, and never taken for markup."""
    return f"<qt>{escape(text).replace(chr(10), '<br>')}</qt>" if text else ""
