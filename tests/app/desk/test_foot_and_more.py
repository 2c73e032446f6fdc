"""The foot that moves nothing, the panel of More, no sound, the tag buttons, the picture alone."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from desk_driving import pixels, press, view_of
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from annotate.clock import short_time
from app.desk.start import make_application
from app.desk.window import DeskWindow
from app.review.tag_icons import TagButton
from app.review.transport_more import OFFERED, MorePanel

NO_SOUND = "There is no sound in this part of the recording."
LONG = "Something went wrong here and this is said at some length. " * 12


@pytest.fixture
def dark_again() -> Iterator[None]:
    yield
    make_application("dark")


def places(desk: DeskWindow) -> list[QRect]:
    view = view_of(desk)
    return [w.geometry() for w in (view, view.picture, view.transport, view.timeline, view.side)]


# The foot


@pytest.mark.parametrize("size", [(1366, 768), (1024, 640)])
def test_nothing_moves_when_something_is_said(
    reviewing: DeskWindow, qtbot: QtBot, size: tuple[int, int]
) -> None:
    reviewing.resize(*size)
    bar, foot = reviewing.message_bar, reviewing.foot
    qtbot.waitUntil(lambda: foot.width() == size[0])
    qtbot.waitUntil(lambda: not bar.isVisible(), timeout=20_000)  # the clips were checked
    before = places(reviewing)
    bar.say("Kept.")
    qtbot.waitUntil(bar.isVisible)
    assert bar.geometry() == foot.geometry()
    assert places(reviewing) == before
    bar.say_trouble(LONG)
    qtbot.waitUntil(lambda: len(bar.line.lines) == 2 and bar.height() > foot.height())
    assert bar.geometry().bottom() == foot.geometry().bottom()
    assert bar.line.geometry().height() >= 2 * bar.fontMetrics().lineSpacing()
    assert bar.rect().contains(bar.line.geometry())
    assert bar.rect().contains(bar.show_all.geometry())
    assert bar.show_all.isVisible()
    assert places(reviewing) == before
    bar.hide_words()
    assert not bar.isVisible()
    assert places(reviewing) == before


def test_the_foot_rests_on_what_is_kept(reviewing: DeskWindow) -> None:
    foot = reviewing.foot
    assert foot.words.text().startswith("R-07-003: nothing is tagged")
    view_of(reviewing).presenter.press_hand_over()
    assert foot.words.text() == "R-07-003: 1 tag and 0 comments are kept"
    reviewing.show_caseload()
    assert foot.words.text() == "1 case, all kept on this desk"


# More


def test_what_is_hidden_at_1024_pixels_is_on_the_panel_of_more(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    reviewing.resize(1366, 768)
    qtbot.waitUntil(lambda: view.transport.width() == 982)
    assert not view.transport.more.isVisible()
    reviewing.resize(1024, 640)
    qtbot.waitUntil(lambda: view.transport.width() == 640)
    transport, panel = view.transport, view.transport.panel
    assert {"speed", "loop", "look", "sound", "volume"} <= transport.hidden_groups
    QTest.mouseClick(transport.more, Qt.MouseButton.LeftButton)
    assert panel.isVisible()
    foot = transport.mapTo(view, transport.rect().bottomLeft()).y()
    assert panel.y() > foot  # never over tissue
    assert view.rect().contains(panel.geometry())
    assert_reachable(panel, transport.hidden_groups)
    speed = view.presenter.speed
    QTest.mouseClick(panel.buttons["faster"], Qt.MouseButton.LeftButton)
    assert view.presenter.speed > speed
    assert f"{view.presenter.speed:g}" in panel._words["speed"].text()
    panel.slider.setValue(30)
    assert view.sound_knob.volume == 30
    QTest.mouseClick(panel.buttons["mute"], Qt.MouseButton.LeftButton)
    assert view.sound_knob.is_muted
    assert panel.buttons["mute"].isChecked()
    press(reviewing, Qt.Key.Key_U)  # keys still go to the picture
    assert view.presenter.speed == speed
    press(reviewing, Qt.Key.Key_Escape)
    assert not panel.isVisible()
    transport.more.click()
    QTest.mouseClick(view.picture, Qt.MouseButton.LeftButton)
    assert not panel.isVisible()
    transport.more.click()
    QTest.mouseClick(panel.buttons["look-panel"], Qt.MouseButton.LeftButton)
    assert not panel.isVisible()
    assert view.look_panel.isVisible()


def assert_reachable(panel: MorePanel, groups: frozenset[str]) -> None:
    """Each hidden group has controls with words, whole and side by side."""
    for group in OFFERED:
        assert panel._parts[group].isVisible() == (group in groups)
    shown = [b for b in panel.buttons.values() if b.isVisible()]
    assert shown
    for button in shown:
        assert button.accessibleName() in button.text()
        assert button.fontMetrics().horizontalAdvance(button.text()) < button.width()
        assert panel.rect().contains(QRect(button.mapTo(panel, QPoint(0, 0)), button.size()))


ENLARGED = """
import json, sys
from pathlib import Path
from PySide6.QtWidgets import QApplication
from desk_scenes import opened, presenter_on
from app.desk.start import make_application
from app.review.view import ReviewView
from app.review.transport_more import OFFERED
app = make_application("dark")
with opened(Path(sys.argv[1])) as store:
    view = ReviewView(presenter_on(store), None)
    view.transport.set_has_clip(True)
    view.resize(720, 396)
    view.show()
    app.processEvents()
    t = view.transport
    view.sound_knob.tell(tracks=("Sound 1: stereo", "Sound 2: one channel"))
    t.more.click()
    app.processEvents()
    p = t.panel
    print(json.dumps({
        "ratio": view.devicePixelRatioF(),
        "hidden": sorted(t.hidden_groups),
        "rows": sorted(g for g in OFFERED if p._parts[g].isVisible()),
        "shown": sorted(g for g, m in t._groups.items() if m and all(w.isVisible() for w in m)),
        "more": t.more.isVisible() and t.rect().contains(t.more.geometry()),
        "tracks": p.buttons["sound-track"].isVisible(),
        "inside": view.rect().contains(p.geometry()),
        "cut": [b.text() for b in p.buttons.values() if b.isVisible()
                and b.fontMetrics().horizontalAdvance(b.text()) >= b.width()],
    }))
    view.close_session()
    view.close()
"""


def test_at_200_per_cent_everything_is_reachable(tmp_path: Path) -> None:
    """The smallest window on a screen of 1440x880 pixels that is enlarged twice."""
    env = os.environ | {
        "QT_SCALE_FACTOR": "2",
        "QT_QPA_PLATFORM": "offscreen",
        "PYTHONPATH": os.pathsep.join(sys.path),
    }
    run = subprocess.run(
        [sys.executable, "-c", ENLARGED, str(tmp_path)],
        capture_output=True, text=True, env=env, timeout=60, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    told = json.loads(run.stdout.splitlines()[-1])
    assert told["ratio"] == 2
    assert told["more"]
    assert told["inside"]
    assert told["tracks"]
    assert told["cut"] == []
    assert told["rows"] == told["hidden"]
    assert set(told["hidden"]) | set(told["shown"]) == OFFERED


# No sound


def test_without_sound_its_controls_are_grey_and_its_key_says_why(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    reviewing.resize(1366, 768)
    sound, knob = view.transport.sound, view.sound_knob

    def coloured(widget: QWidget) -> int:
        rgb = pixels(widget.grab().toImage()).astype(int)
        return int((np.ptp(rgb, axis=2) > 40).sum())

    knob.put(80, is_muted=False)
    qtbot.waitUntil(sound.slider.isVisible)
    assert coloured(sound.slider) > 20
    knob.tell(why_silent=NO_SOUND)
    assert not sound.slider.isEnabled()
    assert not sound.button.isEnabled()
    assert coloured(sound.slider) == 0
    assert NO_SOUND in sound.slider.toolTip()
    assert NO_SOUND in sound.button.toolTip()
    assert not view.transport.panel.buttons["mute"].isEnabled()
    press(reviewing, Qt.Key.Key_N)
    assert reviewing.message_bar.words == NO_SOUND
    assert (knob.is_muted, knob.volume) == (False, 80)
    reviewing.message_bar.hide_words()
    press(reviewing, Qt.Key.Key_PageUp)
    assert reviewing.message_bar.words == NO_SOUND
    knob.tell()
    assert sound.slider.isEnabled()
    press(reviewing, Qt.Key.Key_N)
    assert reviewing.message_bar.words == "The sound is off."


# The tag buttons


def test_the_tag_buttons_say_tag_and_point_at_a_pin(reviewing: DeskWindow) -> None:
    buttons = view_of(reviewing).transport._buttons
    faces = []
    for action_id in ("tag-back", "tag-on"):
        button = buttons[action_id]
        assert isinstance(button, TagButton)
        assert button.text().strip() == "Tag"
        faces.append(button.icon().pixmap(button.iconSize(), 1.0).toImage())
    back, on = faces
    assert not back.isNull()
    assert back != on
    away = pixels(back)[:, ::-1].astype(int) - pixels(on)
    assert np.abs(away).max() < 32  # of 255; smooth edges


def test_the_sign_on_a_tag_button_follows_the_theme(
    reviewing: DeskWindow, dark_again: None
) -> None:
    button = view_of(reviewing).transport._buttons["tag-on"]
    dark = pixels(button.grab().toImage()).max()
    reviewing.change_theme()
    image = button.icon().pixmap(button.iconSize(), 1.0).toImage()
    inks = [
        image.pixelColor(x, y).lightness()
        for x in range(image.width())
        for y in range(image.height())
        if image.pixelColor(x, y).alpha() == 255
    ]
    assert dark > 180
    assert max(inks) < 80


# The picture alone


def test_the_picture_alone_on_the_whole_screen(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    qtbot.waitUntil(view.small_pictures.band.isVisible)
    before = [view.layout().indexOf(view.side), view.transport.y() > view.picture.y()]
    press(reviewing, Qt.Key.Key_F9)
    press(reviewing, Qt.Key.Key_F11)
    qtbot.waitUntil(lambda: view.picture.size() == reviewing.size())
    others = (
        reviewing.menuBar(), reviewing.foot, view.timeline, view.small_pictures.band,
        view.transport, view.side,
    )  # fmt: skip
    assert not any(other.isVisible() for other in others)
    assert "Esc leaves" in reviewing.message_bar.words
    assert reviewing.message_bar.is_fading
    press(reviewing, Qt.Key.Key_U)  # keys work without their menus
    assert view.presenter.speed < 1
    QTest.mouseMove(view.picture, QPoint(200, 200))
    QTest.mouseMove(view.picture, QPoint(210, 220))
    qtbot.waitUntil(view.transport.isVisible)
    assert view.picture.size() == reviewing.size()
    assert view.transport.geometry().bottom() == view.rect().bottom()
    assert view.transport.height() <= 36
    qtbot.waitUntil(lambda: not view.transport.isVisible(), timeout=10_000)
    press(reviewing, Qt.Key.Key_Escape)
    assert not reviewing.isFullScreen()
    assert all(other.isVisible() for other in others[:-1])
    assert "Esc leaves" not in reviewing.message_bar.words
    press(reviewing, Qt.Key.Key_F9)
    assert view.side.isVisible()
    qtbot.waitUntil(lambda: view.transport.y() == view.picture.geometry().bottom() + 1)
    after = [view.layout().indexOf(view.side), view.transport.y() > view.picture.y()]
    assert after == before


def test_leaving_the_case_brings_the_menus_back(reviewing: DeskWindow, qtbot: QtBot) -> None:
    reviewing.act("full-screen")
    reviewing.act("picture-alone")
    assert reviewing.full_screen.is_bare
    reviewing.show_caseload()
    assert reviewing.isFullScreen()
    assert reviewing.menuBar().isVisible()
    assert reviewing.foot.isVisible()
    QTest.keyClick(reviewing.caseload.table, Qt.Key.Key_Escape)
    assert not reviewing.isFullScreen()


def test_a_comment_begun_in_the_picture_alone_gets_its_column(reviewing: DeskWindow) -> None:
    reviewing.act("picture-alone")
    reviewing.act("full-screen")
    assert reviewing.full_screen.is_bare
    reviewing.act("write-comment")
    assert not reviewing.full_screen.is_bare
    assert view_of(reviewing).side.isVisible()
    assert view_of(reviewing).transport.isVisible()


# The ways on, and the menus


def test_the_ways_on_from_a_review_stand_in_the_corner_of_the_menus(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    reviewing.resize(720, 440)
    qtbot.waitUntil(lambda: reviewing.width() == 720)
    buttons, bar = reviewing.actions_table.way_on.buttons, reviewing.menuBar()
    last = bar.actionGeometry(bar.actions()[-1]).right()
    for button in buttons.values():
        spot = QRect(button.mapTo(bar, QPoint(0, 0)), button.size())
        assert button.isVisible()
        assert bar.rect().contains(spot)
        assert spot.left() > last
        assert button.fontMetrics().horizontalAdvance(button.text()) < button.width()
    reviewing.actions_table["sign"].setEnabled(False)
    assert not buttons["sign"].isEnabled()
    QTest.mouseClick(buttons["open-caseload"], Qt.MouseButton.LeftButton)
    assert reviewing.stack.currentWidget() is reviewing.caseload
    assert not any(button.isVisible() for button in buttons.values())


@pytest.mark.parametrize("theme", ["dark", "light"])
def test_no_menu_is_higher_than_a_low_screen(
    reviewing: DeskWindow, dark_again: None, theme: str
) -> None:
    make_application(theme)
    menus = [heading.menu() for heading in reviewing.menuBar().actions()]
    for menu in menus:
        menus += [entry.menu() for entry in menu.actions() if entry.menu() is not None]
        assert menu.sizeHint().height() < 768 - reviewing.menuBar().height() - 30
        rows = [entry.isSeparator() for entry in menu.actions()]
        assert not rows[0]
        assert not rows[-1]
        groups = "".join("|" if is_line else "." for is_line in rows).split("|")
        assert max(map(len, groups)) <= 8, menu.title()


def test_more_says_how_long_the_case_is_where_the_clock_does_not(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    reviewing.resize(720, 440)
    qtbot.waitUntil(lambda: reviewing.width() == 720 and not view.transport._is_length_shown)
    view.transport.more.click()
    length = view.transport.panel.length
    assert length.isVisible()
    assert length.text() == f"The case lasts {short_time(view.presenter.length_us)}"
