"""Feeds are Qt objects: what is left of one is collected on the main thread, as on the desk."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from app.desk.collecting import collecting_here


@pytest.fixture(autouse=True)
def garbage_collected_here(qapp: object) -> Iterator[None]:
    """No feed of an earlier test is left for another thread to collect."""
    with collecting_here():
        yield
