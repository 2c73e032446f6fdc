"""The picture on the real desk: enlarged, moved, turned, toned; by keys and pointer."""

from __future__ import annotations

import random
from itertools import product

import numpy as np
import pytest
from desk_driving import CONTROL, PLAIN, SHIFT, painted, press, view_of, wait_exact
from numbered_clips import read_number
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QSlider
from pytestqt.qtbot import QtBot

from annotate.clip.showing import NEUTRAL, Tone
from annotate.ids import RowId, new_id
from annotate.marks import Mark, MarkKind
from app.desk.window import DeskWindow
from app.review.picture import PictureView
from app.review.viewpoint import MOST_ZOOM, Viewpoint


def wheel(picture: PictureView, at: QPointF, notches: float) -> None:
    event = QWheelEvent(
        at, QPointF(picture.mapToGlobal(at.toPoint())), QPoint(), QPoint(0, round(120 * notches)),
        Qt.MouseButton.NoButton, PLAIN, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(picture, event)


def test_the_wheel_enlarges_what_is_under_the_pointer(reviewing: DeskWindow, qtbot: QtBot) -> None:
    picture = view_of(reviewing).picture
    picture.zoom(2.5)  # larger than its room both ways: what is narrower stays in the middle
    area = picture.picture_area()
    at = QPointF(area.x() + 0.3 * area.width(), area.y() + 0.6 * area.height())
    before = picture.point_at(at)
    for _ in range(4):
        wheel(picture, at, 1)
    assert picture.viewpoint.zoom == pytest.approx(2.5 * 1.25**4)
    ratio = 2 / min(picture.framing.width, picture.framing.height)
    assert picture.point_at(at) == pytest.approx(before, abs=ratio)
    for _ in range(20):
        wheel(picture, at, 1)
    assert picture.viewpoint.zoom == MOST_ZOOM
    wait_exact(picture, qtbot)
    wheel(picture, at, -60)
    assert picture.viewpoint.is_fitted


def test_an_enlarged_picture_shows_what_an_exact_crop_of_the_frame_shows(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    picture = view.picture
    got: list[NDArray[np.uint8]] = []
    view.player.take_still(lambda still: got.append(still.rgb))  # type: ignore[arg-type]
    qtbot.waitUntil(lambda: bool(got), timeout=20_000)
    height, width = got[0].shape[:2]
    picture.look_from(Viewpoint(3.0, centre=(0.4, 0.35)))
    wait_exact(picture, qtbot)
    shown = painted(picture).astype(int)
    rng = random.Random(4)
    away = []
    for _ in range(400):
        x, y = rng.randrange(8, shown.shape[1] - 8), rng.randrange(8, shown.shape[0] - 8)
        share = ((x + 0.5) / shown.shape[1], (y + 0.5) / shown.shape[0])
        px, py = picture.framing.to_picture(*share)
        source = got[0][min(int(py * height), height - 1), min(int(px * width), width - 1)]
        away.append(np.abs(shown[y, x] - source.astype(int)).mean())
    assert np.median(away) < 4


def test_a_turned_picture_is_right_at_once_and_exact_soon(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    picture = view_of(reviewing).picture
    for turn, is_mirrored in product((0, 90, 180, 270), (False, True)):
        picture.look_from(Viewpoint(turn_deg=turn, is_mirrored=is_mirrored))
        at_once = painted(picture).astype(int)
        wait_exact(picture, qtbot)
        exact = painted(picture)
        assert at_once.shape == exact.shape
        assert np.abs(at_once - exact).mean() < 6
        upright = exact[:, ::-1] if is_mirrored else exact
        assert read_number(np.ascontiguousarray(np.rot90(upright, turn // 90))) == 0


def test_keys_enlarge_move_turn_and_bring_back(reviewing: DeskWindow) -> None:
    picture = view_of(reviewing).picture
    for _ in range(7):
        press(reviewing, Qt.Key.Key_Equal)
    assert picture.viewpoint.zoom == pytest.approx(1.25**7)
    press(reviewing, Qt.Key.Key_Minus)
    assert picture.viewpoint.zoom == pytest.approx(1.25**6)
    middle = picture.framing.region
    press(reviewing, Qt.Key.Key_Right, CONTROL | SHIFT)
    assert picture.framing.region[0] > middle[0]
    press(reviewing, Qt.Key.Key_Up, CONTROL | SHIFT)
    assert picture.framing.region[1] < middle[1]
    press(reviewing, Qt.Key.Key_Left, CONTROL | SHIFT)
    press(reviewing, Qt.Key.Key_Down, CONTROL | SHIFT)
    assert picture.framing.region == pytest.approx(middle, abs=1e-6)
    press(reviewing, Qt.Key.Key_R, CONTROL)
    press(reviewing, Qt.Key.Key_M)
    assert (picture.viewpoint.turn_deg, picture.viewpoint.is_mirrored) == (90, True)
    assert "turned 90°" in view_of(reviewing).transport.state_words
    press(reviewing, Qt.Key.Key_Y)
    assert picture.viewpoint.is_fitted
    press(reviewing, Qt.Key.Key_Y, SHIFT)
    assert picture.viewpoint.scale(picture.look_room()) == 1
    press(reviewing, Qt.Key.Key_P, SHIFT)
    assert not picture.viewpoint.is_turned


def test_the_hand_moves_an_enlarged_picture_and_a_double_click_fits_it(
    reviewing: DeskWindow,
) -> None:
    picture = view_of(reviewing).picture
    middle = picture.rect().center()
    picture.zoom(3.0)
    grasped = picture.point_at(QPointF(middle))
    to = middle + QPoint(40, -25)
    QTest.mousePress(picture, Qt.MouseButton.LeftButton, PLAIN, middle)
    QTest.mouseMove(picture, to)
    QTest.mouseRelease(picture, Qt.MouseButton.LeftButton, PLAIN, to)
    pixel = 2 / picture.framing.width
    assert picture.point_at(QPointF(to)) == pytest.approx(grasped, abs=pixel)
    QTest.mouseDClick(picture, Qt.MouseButton.LeftButton, PLAIN, middle)
    assert picture.viewpoint.is_fitted


def test_the_original_shows_while_its_key_is_held(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    picture = view.picture
    picture.look_from(Viewpoint(turn_deg=180))
    picture.set_tone(Tone(0.2, 1.3, 1.1))
    wait_exact(picture, qtbot)
    QTest.keyPress(picture, Qt.Key.Key_P)
    assert picture.is_original
    assert picture.tone == NEUTRAL
    wait_exact(picture, qtbot)
    assert read_number(painted(picture)) == 0
    QTest.keyRelease(picture, Qt.Key.Key_P)
    assert not picture.is_original
    assert picture.tone == Tone(0.2, 1.3, 1.1)
    assert picture.framing.turn_deg == 180


def test_the_original_chosen_from_the_menu_stays_until_chosen_again(
    reviewing: DeskWindow,
) -> None:
    picture = view_of(reviewing).picture
    reviewing.actions_table["original"].trigger()
    assert picture.is_original
    reviewing.actions_table["original"].trigger()
    assert not picture.is_original


def test_the_panel_of_tone_is_worked_by_keys_and_changes_what_is_seen(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    wait_exact(view.picture, qtbot)
    before = painted(view.picture).mean()
    press(reviewing, Qt.Key.Key_B, CONTROL)
    assert view.look_panel.isVisible()
    assert isinstance(reviewing.focusWidget(), QSlider)
    for other in (view.picture, view.transport, view.small_pictures.band, view.timeline):
        assert not view.look_panel.geometry().intersects(other.geometry())
    for _ in range(20):
        press(reviewing, Qt.Key.Key_Right)
    assert view.picture.shown_number == 0
    assert view.picture.tone == Tone(brightness=0.2)
    assert view.look_panel.numbers["brightness"].value() == 0.2
    qtbot.waitUntil(lambda: painted(view.picture).mean() > before + 30, timeout=20_000)
    press(reviewing, Qt.Key.Key_Escape)
    assert not view.look_panel.isVisible()
    assert reviewing.focusWidget() is view.picture
    assert "tone changed" in view.transport.state_words


def test_how_a_case_is_looked_at_is_remembered(reviewing: DeskWindow, qtbot: QtBot) -> None:
    picture = view_of(reviewing).picture
    tone = Tone(-0.1, 1.4, 0.8)
    picture.look_from(Viewpoint(2.0, turn_deg=270, is_mirrored=True))
    picture.set_tone(tone)
    reviewing.show_caseload()
    reviewing.open_case("R-07-003")
    again = view_of(reviewing).picture
    assert again is not picture
    assert (again.viewpoint.turn_deg, again.viewpoint.is_mirrored) == (270, True)
    assert again.viewpoint.is_fitted
    assert again.tone == tone
    press(reviewing, Qt.Key.Key_P, SHIFT)
    reviewing.show_caseload()
    reviewing.open_case("R-07-003")
    assert view_of(reviewing).picture.tone == NEUTRAL
    assert not view_of(reviewing).picture.viewpoint.is_turned


def test_marks_stay_on_their_tissue(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    picture = view.picture
    ring = Mark(
        RowId(new_id()), view.presenter.session.id, MarkKind.RING, 0, 10_000_000,
        ((0.5, 0.5), (0.6, 0.5)),
    )  # fmt: skip
    wait_exact(picture, qtbot)
    for seen in (Viewpoint(), Viewpoint(2.0, turn_deg=90), Viewpoint(turn_deg=180)):
        picture.layer.show((), 0)
        picture.look_from(seen)
        wait_exact(picture, qtbot)
        without = painted(picture).astype(int)
        picture.layer.show((ring,), 0)
        changed = np.abs(painted(picture).astype(int) - without).sum(axis=2) > 40
        rows, columns = np.nonzero(changed)
        ratio = picture.devicePixelRatioF()
        corner = picture.picture_area().topLeft() * ratio
        centre, rim = (picture.place_of(p) * ratio - corner for p in ring.points)
        radius = (rim - centre).manhattanLength()
        away = np.hypot(columns + 0.5 - centre.x(), rows + 0.5 - centre.y())
        assert len(away) > 100
        assert np.abs(away - radius).max() < 5
        expected = 0.1 * 320 * seen.scale(picture.look_room())
        assert radius == pytest.approx(expected, rel=0.02)


def hold(desk: DeskWindow, key: Qt.Key, action: str, times: int) -> None:
    """What Qt does while a key is held: it is offered to the screen, then the action is done."""
    picture = view_of(desk).picture
    for place in range(times):
        offered = QKeyEvent(QEvent.Type.ShortcutOverride, key, PLAIN, "", place > 0)
        QApplication.sendEvent(picture, offered)
        desk.actions_table[action].trigger()


def test_a_held_arrow_runs_until_it_is_let_go(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    picture = view.picture
    for key, action, start, direction in (
        (Qt.Key.Key_Right, "step-on", 20, 1),
        (Qt.Key.Key_Left, "step-back", 150, -1),
    ):
        view.go_to_number(start)
        qtbot.waitUntil(lambda start=start: picture.shown_number == start, timeout=20_000)
        hold(reviewing, key, action, 3)
        qtbot.waitUntil(
            lambda start=start, way=direction: (picture.shown_number - start) * way > 12,
            timeout=20_000,
        )
        QTest.keyRelease(picture, key)
        assert not view.presenter.is_playing
        number = view.player.number
        qtbot.waitUntil(lambda number=number: picture.shown_number == number, timeout=20_000)
        press(reviewing, key)
        qtbot.waitUntil(
            lambda number=number, way=direction: picture.shown_number == number + way,
            timeout=20_000,
        )


def test_the_side_column_is_hidden_and_comes_back_to_write(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    wide = view.picture.width()
    press(reviewing, Qt.Key.Key_F9)
    assert not view.side.isVisible()
    QApplication.sendPostedEvents()
    assert view.width() - view.picture.width() < 10
    press(reviewing, Qt.Key.Key_Return)
    assert view.side.isVisible()
    assert reviewing.focusWidget() is view.comment_box.text
    assert view.picture.width() <= view.width() - 300 or wide
