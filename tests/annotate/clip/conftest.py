"""Numbered clips of many kinds, each made once a run."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from kinds_made import KindsMade, kinds_made


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> KindsMade:
    """Give the clip of a kind, made when first asked for, and what its pictures show, in order."""
    return kinds_made(tmp_path_factory)


@pytest.fixture(scope="session")
def clip_of(made: KindsMade) -> Callable[[str], Path]:
    """Give the path of the clip of a kind."""
    return lambda name: made(name)[0]
