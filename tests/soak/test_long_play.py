"""A whole sample clip played in the real window: what was shown, what was dropped, how late."""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.desk.start import make_application
from app.desk.window import DeskWindow
from app.intake.take_in import Intake, take_in
from app.settings import Settings
from sample_clips.catalogue import sample_cases
from store import open_store


@pytest.mark.soak
def test_a_clip_plays_through_with_hardly_a_frame_dropped(qtbot: QtBot, tmp_path: Path) -> None:
    make_application("dark")
    model = next(case for case in sample_cases() if case.is_model)
    with open_store(tmp_path / "play.sqlite") as store:
        case = take_in(store, Intake(model.clips, "A-01", 1, model.vocabulary), "A-01")
        desk = DeskWindow(store, Settings(reviewer="A-01"), keeps_settings=False)
        qtbot.addWidget(desk)
        desk.show()
        desk.open_case(case.code)
        qtbot.waitUntil(
            lambda: desk.review is not None and desk.review.picture.shown_number == 0,
            timeout=20_000,
        )
        view = desk.review
        assert view is not None
        shown: list[tuple[float, int, int]] = []

        def note() -> None:
            at_s = time.monotonic()
            shown.append((at_s, view.picture.shown_number or 0, view.presenter.playhead_us))

        view.presenter.playhead_moved.listen(note)
        view.player.toggle_play()
        qtbot.waitUntil(lambda: not view.presenter.is_playing, timeout=180_000)
        desk.close()
    numbers = sorted({number for _, number, _ in shown})
    began_s, _, began_us = shown[0]
    late_ms = [(at - began_s) * 1e3 - (us - began_us) / 1e3 for at, _, us in shown]
    n_frames = sum(clip.n_frames for clip in case.clips)
    print(
        f"\nplayed {case.length_us / 1e6:.0f} s: {len(numbers)} of {n_frames} frames shown, "
        f"lateness median {np.median(late_ms):.1f} ms, 95 % {np.percentile(late_ms, 95):.1f} ms, "
        f"worst {max(late_ms):.1f} ms"
    )
    assert len(numbers) >= 0.98 * n_frames
