"""Clips made once for all these tests, and a command line with a store and places of its own."""

from __future__ import annotations

from pathlib import Path
from shutil import copyfile

import pytest
from command_line import CommandLine
from kinds_made import KindsMade, kinds_made
from known_clips import Known, known_clip
from numbered_clips import jittered_times

from app.main import main

N_FRAMES = 400


@pytest.fixture(scope="session")
def clip_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("recorder")


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> KindsMade:
    """The clip of a kind, and what its pictures show, in order."""
    return kinds_made(tmp_path_factory)


@pytest.fixture(scope="session")
def first(clip_folder: Path) -> Known:
    """B-frames and a variable rate."""
    return known_clip(
        clip_folder / "first.mp4", n_frames=N_FRAMES, times=jittered_times(N_FRAMES, 7)
    )


@pytest.fixture(scope="session")
def second(clip_folder: Path) -> Known:
    """The next part of the same case: its pictures count on from the first part's."""
    times = jittered_times(N_FRAMES, 8)
    return known_clip(
        clip_folder / "second.mp4", n_frames=N_FRAMES, times=times, first_number=N_FRAMES
    )


@pytest.fixture(scope="session")
def even(clip_folder: Path) -> Known:
    """Two seconds at a constant rate."""
    return known_clip(clip_folder / "even.mp4", n_frames=60)


@pytest.fixture(autouse=True)
def _own_places(own_folders: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep settings, store and reports apart from each other, as they are for a user."""
    home = own_folders
    for kind in ("DATA", "CONFIG", "STATE", "CACHE"):
        monkeypatch.setenv(f"XDG_{kind}_HOME", str(home / kind.lower()))


@pytest.fixture
def line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> CommandLine:
    return CommandLine(tmp_path / "store" / "desk.sqlite", capsys)


@pytest.fixture
def out(tmp_path: Path) -> Path:
    folder = tmp_path / "out"
    folder.mkdir()
    return folder


@pytest.fixture(scope="session")
def filed_store(tmp_path_factory: pytest.TempPathFactory, first: Known, second: Known) -> Path:
    """A store with one case of two parts, made by the command line itself."""
    store = tmp_path_factory.mktemp("filed") / "desk.sqlite"
    clips = (str(first.path), str(second.path))
    words = ("--operator", "R-07", "--case-number", "14", "--vocabulary", "phaco-divide-conquer")
    assert main(["--store", str(store), "intake", *clips, *words]) == 0
    assert [path.name for path in store.parent.iterdir()] == ["desk.sqlite"]
    return store


@pytest.fixture
def case(line: CommandLine, filed_store: Path) -> str:
    """Code of that case, in the test's own copy of the store."""
    line.store.parent.mkdir()
    copyfile(filed_store, line.store)
    return "R-07-014"
