"""Feeds are Qt objects: what is left of one is collected on the main thread, as on the desk."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from kinds_made import KindsMade, kinds_made
from let_go import all_let_go


@pytest.fixture(autouse=True)
def garbage_collected_here(qapp: object) -> Iterator[None]:
    """No feed of an earlier test is left for another thread to collect."""
    with all_let_go():
        yield


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> KindsMade:
    """The clip of a kind, and what its pictures show, in order."""
    return kinds_made(tmp_path_factory)
