"""Numbered clips of many kinds, each made once a run."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from clip_kinds import make_kind


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], tuple[Path, list[int]]]:
    """Give the clip of a kind, made when first asked for, and what its pictures show, in order."""
    folder = tmp_path_factory.mktemp("clips")
    known: dict[str, list[int]] = {}

    def make(name: str) -> tuple[Path, list[int]]:
        path = folder / name
        if name not in known:
            known[name] = make_kind(path)
        return path, known[name]

    return make


@pytest.fixture(scope="session")
def clip_of(made: Callable[[str], tuple[Path, list[int]]]) -> Callable[[str], Path]:
    """Give the path of the clip of a kind."""
    return lambda name: made(name)[0]
