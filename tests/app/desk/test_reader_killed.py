"""The process that decodes dies in the middle of the desk's work: a sentence, and nothing half."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable
from pathlib import Path

import pytest
from held_deeds import held
from long_clips import lengthen
from numbered_clips import make_clip
from pytestqt.qtbot import QtBot

from annotate.clip import fingerprint
from annotate.ids import RowId, new_id
from annotate.people import TrainingLevel
from annotate.tags import Comment, Leaning
from app.desk.window import DeskWindow
from app.handback import prepare
from app.handback.case_frames import stills_of
from app.intake import clips
from app.intake.clips import INDEX_KIND
from app.intake.decoding import index_bytes
from app.intake.take_in import Intake
from app.jobs.apart_process import NAME
from store import Put

pytestmark = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="killed as POSIX kills")


def killing(desk: DeskWindow, n_times: int) -> Callable[[], bool]:
    """Kills the process that decodes whenever it has done a part of its work and not all."""
    killed: set[int | None] = set()

    def look() -> bool:
        work = desk.background.current
        if work is not None and work.share is not None and 0 < work.share < 1:
            for process in multiprocessing.active_children():
                if process.name == NAME and process.pid not in killed:
                    killed.add(process.pid)
                    os.kill(process.pid or 0, signal.SIGKILL)
                    work.done = 0.0
        return len(killed) == n_times

    return look


def waited(desk: DeskWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: desk.background.current is None, timeout=60_000)


@pytest.fixture(scope="module")
def long_clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """So many packets that indexing tells often how far it is."""
    folder = tmp_path_factory.mktemp("long")
    make_clip(folder / "short.ts", n_frames=60, width=64, height=48, b_frames=0, gop=30)
    lengthen(folder / "short.ts", folder / "long.ts", 1000)
    return folder / "long.ts"


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Indexing and stills wait in the middle until this file exists, however quick they are."""
    path = tmp_path / "go-on"
    monkeypatch.setattr(clips, "index_bytes", held(index_bytes, path))
    monkeypatch.setattr(prepare, "stills_of", held(stills_of, path))
    return path


def wanted_of(clip: Path) -> Intake:
    return Intake([clip], "R-41", 1, "phaco-chop", level=TrainingLevel.FELLOW)


def test_a_reader_that_dies_once_while_indexing_is_not_noticed(
    desk: DeskWindow, qtbot: QtBot, long_clip: Path, gate: Path
) -> None:
    waited(desk, qtbot)
    desk.taking_in.take_in(wanted_of(long_clip))
    qtbot.waitUntil(killing(desk, 1), timeout=60_000)
    gate.touch()
    qtbot.waitUntil(lambda: "R-41-001" in desk.caseload.presenter.codes, timeout=60_000)
    assert desk.store.case("R-41-001").clips[0].n_frames == 60_000
    waited(desk, qtbot)


def test_a_reader_that_dies_twice_while_indexing_leaves_nothing_half(
    desk: DeskWindow, qtbot: QtBot, long_clip: Path, gate: Path
) -> None:
    waited(desk, qtbot)
    desk.taking_in.take_in(wanted_of(long_clip))
    qtbot.waitUntil(killing(desk, 2), timeout=60_000)
    qtbot.waitUntil(lambda: desk.message_bar.words != "", timeout=60_000)
    words = "Reading long.ts ended the reader, twice; nothing is lost."
    assert desk.message_bar.words.startswith(words)
    waited(desk, qtbot)
    assert {row.case.code for row in desk.store.cases()} == {"R-07-003"}
    assert desk.store.derived(INDEX_KIND, fingerprint(long_clip), "1") is None
    desk.open_case("R-07-003")
    qtbot.waitUntil(
        lambda: desk.review is not None and desk.review.picture.shown_number == 0, timeout=20_000
    )


@pytest.fixture
def commented(reviewing: DeskWindow, qtbot: QtBot) -> DeskWindow:
    """So many comments that making their stills has a middle."""
    waited(reviewing, qtbot)
    assert reviewing.review is not None
    presenter = reviewing.review.presenter
    session, length_us = presenter.session, presenter.length_us
    comments = [
        Comment(RowId(new_id()), session.id, f"{n}", length_us * n // 100, None, Leaning.CORRECT, 1)
        for n in range(100)
    ]
    reviewing.store.edit(session.id, "add comments", "A-01", *map(Put, comments))
    return reviewing


def test_a_reader_that_dies_once_in_a_note_is_not_noticed(
    commented: DeskWindow, qtbot: QtBot, tmp_path: Path, gate: Path
) -> None:
    target = tmp_path / "note.html"
    commented.paperwork.hand_back(target)
    qtbot.waitUntil(killing(commented, 1), timeout=60_000)
    gate.touch()
    qtbot.waitUntil(lambda: "is in note.html" in commented.message_bar.words, timeout=60_000)
    assert target.read_text(encoding="utf-8").count("data:image/jpeg") == 100


def test_a_reader_that_dies_twice_in_a_note_writes_none(
    commented: DeskWindow, qtbot: QtBot, tmp_path: Path, gate: Path
) -> None:
    commented.paperwork.hand_back(tmp_path / "note.html")
    qtbot.waitUntil(killing(commented, 2), timeout=60_000)
    qtbot.waitUntil(lambda: "No note was written" in commented.message_bar.words, timeout=60_000)
    assert list(tmp_path.glob("note*")) == []
    waited(commented, qtbot)
    commented.paperwork.hand_back(tmp_path / "note.md")
    qtbot.waitUntil(lambda: "is in note.md" in commented.message_bar.words, timeout=60_000)


def test_a_note_that_is_called_off_writes_none(
    commented: DeskWindow, qtbot: QtBot, tmp_path: Path, gate: Path
) -> None:
    commented.paperwork.hand_back(tmp_path / "note.html")
    qtbot.waitUntil(
        lambda: bool(commented.background.current and commented.background.current.share),
        timeout=60_000,
    )
    commented.background.cancel_all()
    waited(commented, qtbot)
    assert list(tmp_path.glob("note*")) == []
