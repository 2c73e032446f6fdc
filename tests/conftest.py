"""What every test gets: user folders of its own, no screen, a guard against what is left behind."""

from __future__ import annotations

import gc
import os
import threading
from collections.abc import Iterator
from itertools import count
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "house", deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile("house")


def pytest_collection_finish() -> None:
    """Spare the collector what stays anyway: modules, and some thousand tests waiting."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def homes(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Folders for `own_folders`; counted here, as pytest looks through all for each new one."""
    folder = tmp_path_factory.mktemp("homes")
    return (folder / str(n) for n in count())


@pytest.fixture(autouse=True)
def own_folders(homes: Iterator[Path], monkeypatch: pytest.MonkeyPatch) -> Path:
    """Point every user folder into a new one, so that no test meets real data."""
    home = next(homes)
    home.mkdir()
    for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME",
                 "APPDATA", "LOCALAPPDATA", "USERPROFILE"):  # fmt: skip
        monkeypatch.setenv(name, str(home))
    return home


@pytest.fixture(autouse=True)
def no_thread_left() -> Iterator[None]:
    """Fail a test that leaves one of the program's own threads running."""
    before = set(threading.enumerate())
    yield
    own = ("pictures", "progress", "work")
    left = [t.name for t in threading.enumerate() if t not in before and t.name.startswith(own)]
    assert not left, f"threads left running: {left}"
