"""How each case is looked at, remembered on this desk: way round and tone, one small file a case.

They are the viewer's, not the case's: nothing of it is in the store, in a note or in a bundle.
"""

from __future__ import annotations

import json
import math
import re
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from annotate.clip.showing import NEUTRAL, Tone
from app.places import looks_folder

MOST_KEPT = 500
BRIGHTNESS = (-0.5, 0.5)
CONTRAST = (0.4, 2.5)
GAMMA = (0.4, 2.5)
_TURNS = (0, 90, 180, 270)
_ID = re.compile(r"[0-9A-Za-z-]{1,64}")


@dataclass(frozen=True, slots=True)
class CaseLook:
    """The way round and the tone in which a case is shown."""

    turn_deg: int = 0
    is_mirrored: bool = False
    tone: Tone = NEUTRAL


AS_FILMED = CaseLook()


class CaseLooks:
    """Looks by case id, in a folder; what cannot be read is as filmed, and writing is whole.

    Parameters
    ----------
    folder : Path, optional
        The user's own where none is given.
    most : int
        Cases remembered; the one longest untouched goes first.
    """

    def __init__(self, folder: Path | None = None, most: int = MOST_KEPT) -> None:
        self._folder = folder or looks_folder()
        self._most = most

    def look(self, case_id: str) -> CaseLook:
        """How a case was looked at last."""
        try:
            stored = json.loads(self._file(case_id).read_text(encoding="utf-8"))
        except (OSError, ValueError, RecursionError):
            return AS_FILMED
        return _look_from(stored) if isinstance(stored, dict) else AS_FILMED

    def keep(self, case_id: str, look: CaseLook) -> None:
        """Remember how a case is looked at; what is as filmed needs no file.

        Raises
        ------
        OSError
            If the folder cannot be written; what was remembered before still is.
        """
        target = self._file(case_id)
        if look == AS_FILMED:
            target.unlink(missing_ok=True)
            return
        self._folder.mkdir(parents=True, exist_ok=True)
        part = target.with_suffix(".part")
        part.write_text(json.dumps(asdict(look), indent=1), encoding="utf-8")
        part.replace(target)
        self._forget_old()

    def _file(self, case_id: str) -> Path:
        if not _ID.fullmatch(case_id):
            raise ValueError("no id of a case")
        return self._folder / f"{case_id}.json"

    def _forget_old(self) -> None:
        dated: list[tuple[int, str]] = []
        for path in self._folder.glob("*.json"):
            with suppress(OSError):
                dated.append((path.stat().st_mtime_ns, path.name))
        for _, name in sorted(dated)[: -self._most]:
            with suppress(OSError):
                (self._folder / name).unlink()


def _look_from(stored: dict[str, Any]) -> CaseLook:
    """Take what makes sense; anything else is as filmed."""
    turn, tone = stored.get("turn_deg"), stored.get("tone")
    told = tone if isinstance(tone, dict) else {}
    return CaseLook(
        turn if isinstance(turn, int) and turn in _TURNS else 0,
        stored.get("is_mirrored") is True,
        Tone(
            _number(told.get("brightness"), NEUTRAL.brightness, BRIGHTNESS),
            _number(told.get("contrast"), NEUTRAL.contrast, CONTRAST),
            _number(told.get("gamma"), NEUTRAL.gamma, GAMMA),
        ),
    )


def _number(value: object, default: float, limits: tuple[float, float]) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        return default
    return max(limits[0], min(float(value), limits[1]))
