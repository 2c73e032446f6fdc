"""Offers that a reviewer put aside, remembered on this desk: one small file a session.

They are no part of a session: nothing of them is in the store, in a note or in a bundle. Whoever
wants to see them again takes the file away.
"""

from __future__ import annotations

import json
import re
from contextlib import suppress
from pathlib import Path

from app.places import data_folder

_ID = re.compile(r"[0-9A-Za-z-]{1,64}")
_MOST = 5_000


class DismissedOffers:
    """What was put aside, by session id; what cannot be read is nothing.

    Parameters
    ----------
    folder : Path, optional
        The user's own where none is given.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder or data_folder() / "put-aside"

    def of(self, session_id: str) -> frozenset[str]:
        """Keys of what was put aside in a session."""
        path = self._file(session_id)
        try:
            stored = json.loads(path.read_text(encoding="utf-8"))
        except (OSError, ValueError, RecursionError):
            return frozenset()
        if not isinstance(stored, list):
            return frozenset()
        return frozenset(key for key in stored[:_MOST] if isinstance(key, str))

    def keep(self, session_id: str, keys: frozenset[str]) -> None:
        """Remember what is put aside; a folder that takes no file costs the memory alone."""
        target = self._file(session_id)
        with suppress(OSError):
            self._folder.mkdir(parents=True, exist_ok=True)
            part = target.with_suffix(".part")
            part.write_text(json.dumps(sorted(keys)[:_MOST]), encoding="utf-8")
            part.replace(target)

    def _file(self, session_id: str) -> Path:
        if not _ID.fullmatch(session_id):
            raise ValueError("no id of a session")
        return self._folder / f"{session_id}.json"
