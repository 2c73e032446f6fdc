"""Numbered clips of many kinds, each made once a run."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from clip_kinds import make_kind


@pytest.fixture(scope="session")
def clip_of(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Give the path of the clip of a kind, made when first asked for."""
    folder = tmp_path_factory.mktemp("clips")

    def make(name: str) -> Path:
        path = folder / name
        if not path.exists():
            make_kind(path)
        return path

    return make
