"""Clips of all kinds, each made once a run, whichever of pytest's workers first asks for it."""

from __future__ import annotations

import json
import os
from pathlib import Path
from tempfile import mkdtemp

import pytest
from clip_kinds import make_kind


class KindsMade:
    """Gives the clip of a kind, made when first asked for, and what its pictures show, in order."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        folder.mkdir(exist_ok=True)

    def __call__(self, kind: str) -> tuple[Path, list[int]]:
        """Give path and numbers; tests read the clip and leave it as it is."""
        place = self._folder / kind
        if not place.exists():
            self._make(kind, place)
        return place / kind, json.loads((place / "shown.json").read_text("utf-8"))

    def _make(self, kind: str, place: Path) -> None:
        own = Path(mkdtemp(dir=self._folder))
        (own / "shown.json").write_text(json.dumps(make_kind(own / kind)), "utf-8")
        try:
            own.rename(place)  # whole at once
        except OSError:
            if not place.exists():
                raise  # otherwise another worker was quicker


def kinds_made(tmp_path_factory: pytest.TempPathFactory) -> KindsMade:
    """Those of this run; its workers have folders of their own, one beside the other."""
    base = tmp_path_factory.getbasetemp()
    return KindsMade((base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "kinds")
