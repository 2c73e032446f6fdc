"""Machine values for tests, times in seconds."""

from __future__ import annotations

from itertools import count
from typing import Any

from annotate.ids import RowId, SessionId
from annotate.marks import Setting

S = 1_000_000
SESSION = SessionId("session-1")
_NUMBERS = count(1)


def setting(start_s: float, end_s: float, **values: Any) -> Setting:
    """A span of machine values."""
    return Setting(
        RowId(f"v{next(_NUMBERS):06d}"), SESSION, round(start_s * S), round(end_s * S), **values
    )
