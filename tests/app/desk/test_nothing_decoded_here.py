"""The desk's own process opens no clip: a crash in a codec could not reach it."""

from __future__ import annotations

from pathlib import Path

import av
import pytest
from numbered_clips import make_clip
from pytestqt.qtbot import QtBot

from app.desk.window import DeskWindow
from app.intake.take_in import Intake


def test_taking_in_opening_and_a_note_open_no_clip_here(
    desk: DeskWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_clip(tmp_path / "new.mp4", n_frames=40, first_number=700)
    opened_here: list[object] = []
    really = av.open

    def watched(*args: object, **options: object) -> object:
        opened_here.append(args[0])
        return really(*args, **options)  # type: ignore[call-overload]

    monkeypatch.setattr(av, "open", watched)
    desk.taking_in.take_in(Intake([tmp_path / "new.mp4"], "R-07", 4, "phaco-chop"))
    qtbot.waitUntil(lambda: "R-07-004" in desk.caseload.presenter.codes, timeout=60_000)
    qtbot.waitUntil(lambda: len(desk.caseload.model.posters) == 2, timeout=60_000)
    desk.open_case("R-07-004")
    qtbot.waitUntil(
        lambda: desk.review is not None and desk.review.picture.shown_number == 0, timeout=60_000
    )
    assert desk.review is not None
    presenter = desk.review.presenter
    presenter.press(presenter.vocabulary.events[0])
    desk.paperwork.hand_back(tmp_path / "note.html")
    qtbot.waitUntil(lambda: "is in note.html" in desk.message_bar.words, timeout=60_000)
    assert "data:image/jpeg" in (tmp_path / "note.html").read_text(encoding="utf-8")
    qtbot.waitUntil(lambda: desk.thumbnails.is_idle, timeout=60_000)
    assert desk.review.small_pictures.pictures.is_complete
    assert opened_here == []
