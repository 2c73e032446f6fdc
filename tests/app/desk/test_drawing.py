"""Drawing on the real desk: by pointer, by keys; where it lands on the screen and in a still."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from desk_driving import PLAIN, SHIFT, painted, press, view_of, wait_exact
from numpy.typing import NDArray
from PIL import Image
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from annotate.marks import Mark, MarkKind, MarkLook, Point
from app.desk.window import DeskWindow
from app.handback.stills import MarksSeen, encoded
from app.review.pointer import Hand
from app.review.viewpoint import Viewpoint

ALT = Qt.KeyboardModifier.AltModifier
Modifiers = Qt.KeyboardModifier


def drag(desk: DeskWindow, *points: Point, modifiers: Modifiers = PLAIN) -> None:
    """Press at the first of some points of the picture, drag over the others, let go."""
    picture = view_of(desk).picture
    left, none = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    spots = [picture.place_of(point) for point in points]
    kinds = [(QEvent.Type.MouseButtonPress, spots[0], left, left)]
    kinds += [(QEvent.Type.MouseMove, spot, none, left) for spot in spots[1:]]
    kinds += [(QEvent.Type.MouseButtonRelease, spots[-1], left, none)]
    for kind, spot, button, buttons in kinds:
        far = QPointF(picture.mapToGlobal(spot.toPoint()))
        QTest.qWait(0)
        event = QMouseEvent(kind, spot, far, button, buttons, modifiers)
        QApplication.sendEvent(picture, event)


def marks(desk: DeskWindow) -> tuple[Mark, ...]:
    return view_of(desk).presenter.markup.marks


def near(points: tuple[Point, ...], *wanted: Point) -> bool:
    return bool(np.abs(np.array(points) - np.array(wanted)).max() < 0.004)


def test_each_tool_draws_by_dragging_and_keeps_at_once(reviewing: DeskWindow) -> None:
    for key, kind in zip("123", (MarkKind.ARROW, MarkKind.RING, MarkKind.LINE), strict=True):
        press(reviewing, getattr(Qt.Key, f"Key_{key}"), ALT)
        drag(reviewing, (0.3, 0.4), (0.5, 0.5), (0.6, 0.7))
        mark = view_of(reviewing).side.marking.chosen
        assert mark is not None
        assert mark.kind is kind
        assert near(mark.points, (0.3, 0.4), (0.6, 0.7))
        reviewing.act("undo")
    press(reviewing, Qt.Key.Key_4, ALT)
    drag(reviewing, (0.2, 0.2), (0.4, 0.5), (0.6, 0.2), (0.8, 0.5))
    (freehand,) = marks(reviewing)
    assert near(freehand.points, (0.2, 0.2), (0.4, 0.5), (0.6, 0.2), (0.8, 0.5))
    press(reviewing, Qt.Key.Key_Escape)
    assert isinstance(view_of(reviewing).picture.tool, Hand)


def test_a_click_draws_in_a_usual_size_and_escape_draws_nothing(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    press(reviewing, Qt.Key.Key_1, ALT)
    drag(reviewing, (0.5, 0.5))
    (arrow,) = marks(reviewing)
    assert np.allclose(arrow.points[-1], (0.5, 0.5), atol=0.004)
    spot = view.picture.place_of((0.2, 0.2))
    ratio = view.picture.devicePixelRatioF()
    view.picture.tool.press((spot.x() * ratio, spot.y() * ratio))
    view.picture.tool.drag((spot.x() * ratio + 80, spot.y() * ratio))
    assert view.picture.layer.draft is not None
    press(reviewing, Qt.Key.Key_Escape)
    assert view.picture.layer.draft is None
    view.picture.tool.release((spot.x() * ratio + 80, spot.y() * ratio))
    assert marks(reviewing) == (arrow,)
    assert view.marks.board.kind is MarkKind.ARROW
    press(reviewing, Qt.Key.Key_Escape)
    assert view.marks.board.kind is None


def test_a_text_is_typed_and_the_pads_keys_do_not_tag_meanwhile(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    press(reviewing, Qt.Key.Key_5, ALT)
    drag(reviewing, (0.3, 0.6))
    assert view.side.draw.words.hasFocus()
    for letter in "q1 h":
        QTest.keyClick(reviewing.focusWidget(), letter)
    assert marks(reviewing) == ()
    draft = view.picture.layer.draft
    assert draft is not None
    assert draft.text == "q1 h"
    press(reviewing, Qt.Key.Key_Return)
    (text,) = marks(reviewing)
    assert (text.kind, text.text) == (MarkKind.TEXT, "q1 h")
    assert near(text.points, (0.3, 0.6))
    assert view.presenter.markup.tags == ()
    assert view.picture.hasFocus()


def test_a_chosen_mark_is_dragged_by_its_handles_and_as_a_whole(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    press(reviewing, Qt.Key.Key_3, ALT)
    drag(reviewing, (0.3, 0.4), (0.6, 0.4))
    press(reviewing, Qt.Key.Key_Escape)
    drag(reviewing, (0.6, 0.4), (0.7, 0.6))
    (line,) = marks(reviewing)
    assert near(line.points, (0.3, 0.4), (0.7, 0.6))
    drag(reviewing, (0.5, 0.5), (0.5, 0.6))
    (line,) = marks(reviewing)
    assert near(line.points, (0.3, 0.5), (0.7, 0.7))
    view.presenter.choose(None)
    drag(reviewing, (0.5, 0.6))
    assert view.presenter.chosen == line.id
    assert marks(reviewing) == (line,)


def test_marks_are_drawn_moved_and_styled_by_keys_alone(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    press(reviewing, Qt.Key.Key_2, ALT)
    press(reviewing, Qt.Key.Key_Return, ALT)
    press(reviewing, Qt.Key.Key_L, ALT)
    press(reviewing, Qt.Key.Key_K, ALT)
    press(reviewing, Qt.Key.Key_C, ALT)
    press(reviewing, Qt.Key.Key_G, ALT)
    (ring,) = marks(reviewing)
    assert ring.points == ((0.51, 0.51), (0.61, 0.51))
    assert (ring.look, ring.is_fading) == (MarkLook.AMBER, True)
    press(reviewing, Qt.Key.Key_W, ALT)
    QTest.keyClicks(view.side.draw.words, "here")
    press(reviewing, Qt.Key.Key_Return)
    assert marks(reviewing)[0].text == "here"
    press(reviewing, Qt.Key.Key_Delete)
    assert marks(reviewing) == ()
    for _ in range(7):
        reviewing.act("undo")
    assert marks(reviewing) == ()
    assert view.presenter.undo_words is None


def test_shift_keeps_a_line_level(reviewing: DeskWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    board = view_of(reviewing).marks.board
    press(reviewing, Qt.Key.Key_3, ALT)
    monkeypatch.setattr(type(board), "is_straight", True)  # offscreen no key is really held
    drag(reviewing, (0.3, 0.4), (0.6, 0.43), modifiers=SHIFT)
    (line,) = marks(reviewing)
    assert line.points[0][1] == pytest.approx(line.points[1][1], abs=1e-6)


def middle(changed: NDArray[np.bool_]) -> tuple[float, float]:
    rows, columns = np.nonzero(changed)
    assert len(rows) > 30
    return float(columns.mean()) + 0.5, float(rows.mean()) + 0.5


def test_the_same_mark_lies_on_the_same_point_on_screen_and_in_the_still(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    """A ring's middle, by what painting changed; within a pixel of either."""
    view = view_of(reviewing)
    picture = view.picture
    at = (0.58, 0.46)
    ring = view.side.marking.keep(MarkKind.RING, (at, (0.63, 0.46)))
    assert ring is not None
    size = view.picture.look_room().picture
    frame = np.full((size[1], size[0], 3), 120, np.uint8)
    plain, drawn = (
        np.asarray(Image.open(BytesIO(encoded(frame, seen)[0])).convert("RGB"), int)
        for seen in (MarksSeen(), MarksSeen([ring], ring.start_us))
    )
    still = middle(np.abs(drawn - plain).sum(axis=2) > 120)
    assert still == pytest.approx((at[0] * size[0], at[1] * size[1]), abs=1)
    for seen_from in (
        Viewpoint(),
        Viewpoint(2.0, centre=at),
        Viewpoint(2.0, centre=at, turn_deg=90, is_mirrored=True),
        Viewpoint(turn_deg=270),
        Viewpoint(is_mirrored=True),
    ):
        picture.look_from(seen_from)
        wait_exact(picture, qtbot)
        picture.layer.show((ring,), ring.start_us)
        with_ring = painted(picture).astype(int)
        picture.layer.show((), 0)
        changed = np.abs(with_ring - painted(picture)).sum(axis=2) > 40
        ratio = picture.devicePixelRatioF()
        corner = picture.picture_area().topLeft() * ratio
        wanted = picture.place_of((still[0] / size[0], still[1] / size[1])) * ratio - corner
        assert middle(changed) == pytest.approx((wanted.x(), wanted.y()), abs=1)


def test_a_copy_of_the_picture_has_marks_and_no_handles(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    wait_exact(view.picture, qtbot)
    view.side.marking.keep_default(MarkKind.RING)
    chosen = painted(view.picture)
    view.presenter.choose(None)
    assert np.array_equal(chosen, painted(view.picture))
