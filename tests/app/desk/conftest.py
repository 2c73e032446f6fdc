"""A desk with one case whose pictures carry their frame numbers."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from let_go import all_let_go
from new_stores import store_with_case
from numbered_clips import jittered_times, make_clip
from pytestqt.qtbot import QtBot

from app.desk.start import make_application
from app.desk.window import DeskWindow
from app.settings import Settings
from store import Store


@pytest.fixture(autouse=True)
def garbage_collected_here(qapp: object) -> Iterator[None]:
    """No widget of a closed window is left for another thread to collect."""
    with all_let_go():
        yield


@pytest.fixture(scope="session")
def clips(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Two parts of one case: variable rate with B-frames, numbers running through."""
    folder = tmp_path_factory.mktemp("clips")
    first, second = folder / "part1.mp4", folder / "part2.mp4"
    make_clip(first, n_frames=120, times=jittered_times(120, 5))
    make_clip(second, n_frames=90, first_number=120)
    return [first, second]


@pytest.fixture
def store(tmp_path: Path, clips: list[Path]) -> Iterator[Store]:
    with store_with_case(tmp_path / "desk.sqlite", clips) as made:
        yield made


@pytest.fixture
def desk(qtbot: QtBot, store: Store) -> Iterator[DeskWindow]:
    make_application("dark")
    window = DeskWindow(store, Settings(reviewer="A-01"), keeps_settings=False)
    qtbot.addWidget(window)
    window.show()
    qtbot.waitExposed(window)
    yield window
    window.close()


@pytest.fixture
def reviewing(desk: DeskWindow, qtbot: QtBot) -> DeskWindow:
    """The desk with the case open and its first frame on the screen."""
    desk.open_case("R-07-003")
    qtbot.waitUntil(
        lambda: desk.review is not None and desk.review.picture.shown_number == 0, timeout=20_000
    )
    desk.activateWindow()
    return desk
