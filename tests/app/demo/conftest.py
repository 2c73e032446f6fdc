from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from app.demo.caseload import make_demo_store
from app.jobs.work import Work


@pytest.fixture(scope="session")
def whole_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo store, made once from the committed clips; tests only read it."""
    place = tmp_path_factory.mktemp("demo") / "demo.sqlite"
    make_demo_store(str(place), Work())
    return place


@pytest.fixture
def own_store(whole_store: Path, tmp_path: Path) -> Path:
    """A copy of the demo store for a test that changes it."""
    return Path(shutil.copy(whole_store, tmp_path / "demo.sqlite"))
