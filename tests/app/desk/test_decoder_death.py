"""The decoder is killed in mid-play: the desk stays, goes on where it was, and no tag is lost."""

from __future__ import annotations

import os
import signal
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from annotate.tags import TagKind
from app.desk.window import DeskWindow
from store import Store

WAIT_MS = 40_000
KILL = getattr(signal, "SIGKILL", signal.SIGTERM)


def test_a_killed_decoder_costs_no_tag_and_no_place(
    reviewing: DeskWindow, qtbot: QtBot, store: Store
) -> None:
    view = reviewing.review
    assert view is not None
    feed, presenter = view.player.feed, view.presenter
    assert feed is not None
    presenter.set_speed(0.5)
    qtbot.keyClick(view.picture, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: (view.picture.shown_number or 0) > 8, timeout=WAIT_MS)
    qtbot.keyClick(view.picture, "1")
    qtbot.waitUntil(lambda: (view.picture.shown_number or 0) > 16, timeout=WAIT_MS)
    killed, at = feed.decoder_id, view.picture.shown_number or 0
    assert killed is not None
    os.kill(killed, KILL)
    qtbot.keyClick(view.picture, "2")  # while there is no decoder
    qtbot.waitUntil(lambda: (view.picture.shown_number or 0) > at + 10, timeout=WAIT_MS)
    assert presenter.is_playing
    assert feed.decoder_id != killed
    qtbot.keyClick(view.picture, Qt.Key.Key_Space)
    kept = store.markup(presenter.session.id).tags
    assert [tag.kind for tag in kept] == [TagKind.PHASE, TagKind.PHASE]
    assert kept == presenter.markup.tags


def test_a_decoder_killed_while_standing_leaves_the_picture_and_the_next_step_works(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = reviewing.review
    assert view is not None
    feed = view.player.feed
    assert feed is not None
    killed = feed.decoder_id
    assert killed is not None
    os.kill(killed, KILL)
    qtbot.waitUntil(lambda: feed.n_deaths == 1, timeout=WAIT_MS)
    assert view.picture.shown_number == 0
    qtbot.keyClick(view.picture, Qt.Key.Key_Right)
    qtbot.waitUntil(lambda: view.picture.shown_number == 1, timeout=WAIT_MS)


@pytest.mark.soak
def test_decoders_killed_again_and_again_never_cost_the_place(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    """Twelve deaths, each once the clip runs again, more than a minute apart or not."""
    view = reviewing.review
    assert view is not None
    feed = view.player.feed
    assert feed is not None
    for _ in range(12):
        if not view.presenter.is_playing or (view.picture.shown_number or 0) > 100:
            view.player.stand()  # else the clip may end before the next picture is waited for
            view.player.go_to_number(0)
            qtbot.waitUntil(lambda: view.picture.shown_number == 0, timeout=WAIT_MS)
            view.player.toggle_play()
        at = view.picture.shown_number or 0
        qtbot.waitUntil(lambda at=at: (view.picture.shown_number or 0) != at, timeout=WAIT_MS)
        decoder = feed.decoder_id
        if decoder is not None:
            os.kill(decoder, KILL)
        qtbot.wait(300)
    view.player.go_to_number(33)
    qtbot.waitUntil(lambda: view.picture.shown_number == 33, timeout=WAIT_MS)


@pytest.mark.parametrize(("mib", "kept_mib"), [(96, 96), (1, 64), (512, 512)])
def test_the_settings_bound_the_pictures_kept(desk: DeskWindow, mib: int, kept_mib: int) -> None:
    desk.settings = replace(desk.settings, picture_memory_mib=mib)
    case = desk.store.case("R-07-003")
    assert desk.opener._opening(case)().cache_bytes == kept_mib << 20
