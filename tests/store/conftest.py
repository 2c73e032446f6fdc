"""A store in a folder of its own, closed whatever the test does."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from new_stores import new_store

from store import Store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with new_store(tmp_path / "desk.sqlite") as opened:
        yield opened
