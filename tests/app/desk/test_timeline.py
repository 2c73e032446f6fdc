"""The timeline under the pointer: the same strip, lanes, gestures, snapping, menus, overview."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from desk_driving import pixels
from desk_scenes import S, opened, presenter_on
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from annotate.ids import RowId, new_id
from annotate.marks import Mark, MarkKind
from annotate.tags import Comment, Leaning, Tag, TagKind
from app.desk.start import make_application
from app.look.palette import DARK, LIGHT, Palette
from app.review.presenter import ReviewPresenter
from app.review.timeline import TimelineView
from app.review.timeline_chosen import grip_box, row_box
from app.review.timeline_detail import n_comment_rows
from app.strip.layout import SLIM_PX, strip_content, strip_shapes
from app.strip.paint_qt import paint_shapes
from store import Put

LEFT = Qt.MouseButton.LeftButton
PLAIN, SHIFT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier
CONTROL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
shows_a_menu = pytest.mark.qt_log_ignore("raise", "grabbing the keyboard")
"""Offscreen, Qt says so of each menu."""


def tag(p: ReviewPresenter, kind: TagKind, code: str, start: float, end: float | None) -> Tag:
    end_us = None if end is None else round(end * S)
    leaning = Leaning.CORRECT if kind is TagKind.EVENT else None
    return Tag(RowId(new_id()), p.session.id, kind, code, round(start * S), end_us, leaning)


@pytest.fixture
def presenter(tmp_path: Path) -> Iterator[ReviewPresenter]:
    """A case of 100 s: two phases that meet at 40 s, a pause, a hand-over, an event, a comment."""
    with opened(tmp_path) as store:
        p = presenter_on(store)
        rows = [
            tag(p, TagKind.PHASE, "incision", 10, 40),
            tag(p, TagKind.PHASE, "sculpt", 40, 70),
            tag(p, TagKind.IDLE, "wait-instrument", 50, 55),
            tag(p, TagKind.HAND_OVER, "attending", 60, 66),
            tag(p, TagKind.EVENT, "eye-off-centre", 80, None),
        ]
        comment = Comment(RowId(new_id()), p.session.id, "Hold the eye still", 20 * S)
        p.edit("a case", *(Put(row) for row in (*rows, comment)))
        yield p


@pytest.fixture
def timeline(presenter: ReviewPresenter, qtbot: QtBot) -> TimelineView:
    make_application("dark")
    made = TimelineView(presenter, DARK)
    qtbot.addWidget(made)
    made.chosen.connect(presenter.choose)
    made.resize(1000, 160)
    made.show()
    qtbot.waitExposed(made)
    return made


def spot(timeline: TimelineView, seconds: float, part: float = 0.5) -> QPoint:
    """A point of the ribbon; `part` is 0 at its top and 1 at its bottom."""
    lanes = timeline.lanes_area()
    top, bottom = lanes.strip.ribbon
    y = lanes.area.y() + top + part * (bottom - top)
    return QPoint(round(timeline.x_of(round(seconds * S))), round(y))


def drag(
    timeline: TimelineView, start: QPoint, end: QPoint, keys: Qt.KeyboardModifier = PLAIN
) -> None:
    hold(timeline, start, end, keys)
    QTest.mouseRelease(timeline.viewport(), LEFT, keys, end)


def hold(
    timeline: TimelineView, start: QPoint, end: QPoint, keys: Qt.KeyboardModifier = PLAIN
) -> None:
    """Press and move, with keys held: a test's own move has none."""
    from PySide6.QtCore import QEvent
    from PySide6.QtGui import QMouseEvent
    from PySide6.QtWidgets import QApplication

    surface = timeline.viewport()
    QTest.mousePress(surface, LEFT, keys, start)
    for part in (0.4, 0.8, 1.0):
        at = QPointF(start + (end - start) * part)
        far = QPointF(surface.mapToGlobal(at))
        move = QMouseEvent(QEvent.Type.MouseMove, at, far, Qt.MouseButton.NoButton, LEFT, keys)
        QApplication.sendEvent(surface, move)


def phases(p: ReviewPresenter) -> list[tuple[str, float, float]]:
    return [
        (t.code, t.start_us / S, (t.end_us or 0) / S)
        for t in p.markup.tags
        if t.kind is TagKind.PHASE
    ]


def per_px(timeline: TimelineView) -> float:
    """Seconds a pixel."""
    return timeline.lanes_area().scale.us_per_px / S


# It is the case strip


@pytest.mark.parametrize("palette", [DARK, LIGHT])
def test_the_ribbon_is_the_strip_that_is_drawn_everywhere(
    timeline: TimelineView, presenter: ReviewPresenter, palette: Palette
) -> None:
    presenter.choose(None)
    presenter.move_playhead(100 * S)
    timeline.repaint_in(palette)
    lanes = timeline.lanes_area()
    shown = timeline.grab().toImage()
    image = QImage(shown.size(), QImage.Format.Format_RGB32)
    image.fill(palette.ground)
    painter = QPainter(image)
    content = strip_content(presenter.markup, presenter.vocabulary, presenter.length_us)
    shapes = strip_shapes(content, lanes.strip, palette)
    paint_shapes(painter, shapes, int(lanes.area.x()), int(lanes.area.y()))
    painter.end()
    rows = slice(int(lanes.area.y()), int(lanes.comments_top))
    columns = slice(int(lanes.area.x()), round(timeline.x_of(95 * S)))
    ours, theirs = (pixels(i)[rows, columns].astype(int) for i in (shown, image))
    off = np.abs(ours - theirs).max(axis=2)
    assert (theirs != theirs[0, 0]).any()
    assert (off > 60).mean() < 0.03  # edges lie on whole pixels here
    assert off.mean() < 4


def test_nothing_is_painted_again_while_only_the_playhead_moves(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    timeline.grab()
    picture = timeline.lanes._picture
    presenter.move_playhead(30 * S)
    timeline.grab()
    assert timeline.lanes._picture is picture
    presenter.choose(presenter.markup.tags[0].id)
    timeline.grab()
    assert timeline.lanes._picture is not picture


# Edges and whole spans


def test_an_edge_snaps_to_another_tag_and_the_neighbour_yields(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    timeline.zoom(2, 45)
    presenter.choose(presenter.markup.tags[0].id)
    near = 50 + 4 * per_px(timeline)  # the pause begins at 50
    hold(timeline, spot(timeline, 40), spot(timeline, near))
    assert timeline.dragged is not None
    preview = timeline.lanes.preview
    assert preview is not None
    shown = [(t.code, t.start_us, t.end_us) for t in preview.tags if t.kind is TagKind.PHASE]
    assert shown == [("incision", 10 * S, 50 * S), ("sculpt", 50 * S, 70 * S)]
    assert phases(presenter) == [("incision", 10, 40), ("sculpt", 40, 70)]
    QTest.mouseRelease(timeline.viewport(), LEFT, PLAIN, spot(timeline, near))
    assert phases(presenter) == [("incision", 10, 50), ("sculpt", 50, 70)]
    presenter.undo()
    assert phases(presenter) == [("incision", 10, 40), ("sculpt", 40, 70)]


def test_with_alt_nothing_snaps(timeline: TimelineView, presenter: ReviewPresenter) -> None:
    timeline.zoom(2, 45)
    end = spot(timeline, 50 + 4 * per_px(timeline))
    wanted = timeline.time_at(end)
    assert wanted != 50 * S
    drag(timeline, spot(timeline, 40), end, ALT)
    assert {round(a * S) for _, a, _ in phases(presenter)} & {wanted}


def test_an_edge_snaps_to_the_playhead(timeline: TimelineView, presenter: ReviewPresenter) -> None:
    presenter.move_playhead(75 * S)
    drag(timeline, spot(timeline, 70), spot(timeline, 75 + 3 * per_px(timeline)))
    assert phases(presenter)[1] == ("sculpt", 40, 75)


def test_away_from_all_edges_a_frame_is_snapped_to(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    presenter.frame_steps = lambda time_us, by: (
        (time_us // (2 * S) + by) * 2 * S + (2 * S if by < 0 and time_us % (2 * S) else 0)
    )  # frames of two seconds
    drag(timeline, spot(timeline, 70), spot(timeline, 86.7))
    assert phases(presenter)[1] == ("sculpt", 40, 86)


def test_a_whole_span_goes_by_its_grip(timeline: TimelineView, presenter: ReviewPresenter) -> None:
    span = next(t for t in presenter.markup.tags if t.code == "sculpt")
    presenter.choose(span.id)
    box = grip_box(timeline.lanes_area(), span)
    assert box is not None
    start = box.center().toPoint()
    by_px = round(20 / per_px(timeline))
    drag(timeline, start, start + QPoint(by_px, 0), ALT)
    (_, begin, end) = phases(presenter)[1]
    assert begin == pytest.approx(60, abs=2 * per_px(timeline))
    assert end - begin == pytest.approx(30)
    assert phases(presenter)[0] == ("incision", 10, 40)


def test_several_go_together_with_control(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    QTest.mouseClick(timeline.viewport(), LEFT, PLAIN, spot(timeline, 20))
    QTest.mouseClick(timeline.viewport(), LEFT, CONTROL, spot(timeline, 45))
    assert {getattr(r, "code", "") for r in presenter.chosen_rows} == {"incision", "sculpt"}
    by_px = round(10 / per_px(timeline))
    n_edits = len(presenter.history())
    start = spot(timeline, 45)
    drag(timeline, start, start + QPoint(by_px, 0), CONTROL | ALT)
    moved = phases(presenter)
    assert len(presenter.history()) == n_edits + 1
    assert moved[0][1] == pytest.approx(20, abs=2 * per_px(timeline))
    assert moved[0][2] == moved[1][1]


def test_shift_click_chooses_all_between(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    presenter.edit("one more", Put(tag(presenter, TagKind.PHASE, "closure", 85, 95)))
    QTest.mouseClick(timeline.viewport(), LEFT, PLAIN, spot(timeline, 20))
    QTest.mouseClick(timeline.viewport(), LEFT, SHIFT, spot(timeline, 90))
    codes = [getattr(row, "code", "") for row in presenter.chosen_rows]
    assert codes == ["incision", "sculpt", "closure"]


def test_escape_lets_a_drag_go(timeline: TimelineView, presenter: ReviewPresenter) -> None:
    hold(timeline, spot(timeline, 40), spot(timeline, 47))
    assert timeline.abort_drag()
    assert timeline.lanes.preview is None
    QTest.mouseRelease(timeline.viewport(), LEFT, PLAIN, spot(timeline, 47))
    assert phases(presenter)[0] == ("incision", 10, 40)
    assert not timeline.abort_drag()


def test_a_pin_is_dragged_only_once_it_is_chosen(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    event = next(t for t in presenter.markup.tags if t.kind is TagKind.EVENT)

    def head() -> QPoint:
        box = row_box(timeline.lanes_area(), event)
        assert box is not None
        return box.center().toPoint()

    by = QPoint(round(8 / per_px(timeline)), 0)
    drag(timeline, head(), head() + by, ALT)
    assert presenter.row(event.id) == event
    assert presenter.chosen == event.id
    drag(timeline, head(), head() + by, ALT)
    moved = presenter.row(event.id)
    assert moved is not None
    assert moved.start_us / S == pytest.approx(88, abs=2 * per_px(timeline))


# Tagging


@shows_a_menu
def test_a_stretch_drawn_with_shift_gets_its_code_by_a_key(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    drag(timeline, spot(timeline, 72), spot(timeline, 95), SHIFT)
    menu = timeline.menus.shown
    assert menu is not None
    assert timeline.lanes.hint_us is not None
    term = next(t for t in presenter.vocabulary.phases if t.code == "closure")
    QTest.keyClicks(menu, term.key)
    (code, start, end) = phases(presenter)[-1]
    assert code == "closure"
    assert (start, end) == pytest.approx((72, 95), abs=3 * per_px(timeline))
    assert timeline.lanes.hint_us is None
    assert getattr(presenter.row(presenter.chosen), "code", "") == "closure"


@shows_a_menu
def test_a_stretch_that_is_not_named_is_forgotten(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    before = presenter.markup
    timeline.pointer.draw_next()
    drag(timeline, spot(timeline, 72), spot(timeline, 95))
    menu = timeline.menus.shown
    assert menu is not None
    QTest.keyClick(menu, Qt.Key.Key_Escape)
    assert timeline.lanes.hint_us is None
    assert presenter.markup is before
    assert not timeline.pointer.draws


def entry(menu: object, words: str) -> object:
    return next(a for a in menu.actions() if a.text().startswith(words))  # type: ignore[attr-defined]


@shows_a_menu
def test_the_menu_on_a_tag_acts_by_the_desks_actions(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    wished: list[str] = []
    timeline.wished_action.connect(wished.append)
    timeline.menus.show_at(QPointF(spot(timeline, 20)), QPoint(10, 10))
    menu = timeline.menus.shown
    assert menu is not None
    assert presenter.row(presenter.chosen) == presenter.markup.tags[0]
    for words in ("Split", "Join", "Another code", "Type its times", "Remove", "Loop"):
        entry(menu, words).trigger()  # type: ignore[attr-defined]
    assert wished == ["split", "join", "another-code", "type-times", "remove", "loop"]
    menu.close()


def test_the_menu_on_an_empty_place_begins_a_phase_there(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    menu = timeline.menus.place_menu(75 * S)
    phase_menu = entry(menu, "A phase begins").menu()  # type: ignore[attr-defined]
    entry(phase_menu, "Closure").trigger()  # type: ignore[attr-defined]
    assert phases(presenter)[-1] == ("closure", 75, 100)
    assert presenter.playhead_us == 0


def test_of_a_review_to_look_at_nothing_is_dragged(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    presenter.sign()
    before = presenter.markup
    drag(timeline, spot(timeline, 40), spot(timeline, 47))
    drag(timeline, spot(timeline, 72), spot(timeline, 95), SHIFT)
    assert timeline.menus.shown is None
    assert presenter.markup == before
    labels = [a.text() for a in timeline.menus.row_menu(before.tags[0]).actions()]
    assert not any(words.startswith(("Split", "Remove")) for words in labels)


# Lanes


def test_a_lane_appears_with_its_first_row_and_is_folded_by_the_list(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    def shown() -> list[str]:
        return [placed.lane.id for placed in timeline.lanes_area().placed]

    told: list[object] = []
    timeline.folds_changed.connect(told.append)
    assert shown() == ["comments"]
    corners = ((0.2, 0.2), (0.6, 0.6))
    mark = Mark(RowId(new_id()), presenter.session.id, MarkKind.RING, 20 * S, 60 * S, corners)
    presenter.edit("a ring", Put(mark))
    assert shown() == ["comments", "marks"]
    place = timeline.lanes_area().place_of("marks")
    assert place is not None
    at = QPointF(timeline.x_of(30 * S), place.center().y())
    assert timeline.row_at(at) == mark.id
    assert "Ring" in timeline.words_at(at)
    entry(timeline.menus.lanes_menu(), "Marks").trigger()  # type: ignore[attr-defined]
    assert shown() == ["comments"]
    assert told == [frozenset({"marks"})]
    ribbon = timeline.lanes_area().strip.ribbon
    entry(timeline.menus.lanes_menu(), "Events").trigger()  # type: ignore[attr-defined]
    folded = timeline.lanes_area().strip.ribbon
    assert folded[1] - folded[0] > ribbon[1] - ribbon[0]  # the ribbon takes the pins' room
    entry(timeline.menus.lanes_menu(), "Show all").trigger()  # type: ignore[attr-defined]
    assert shown() == ["comments", "marks"]


def test_folded_phases_stay_as_a_thin_strip_that_can_be_edited(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    whole = timeline.lanes_area()
    comments = whole.place_of("comments")
    entry(timeline.menus.lanes_menu(), "Phases").trigger()  # type: ignore[attr-defined]
    assert timeline.folded == frozenset({"phases"})
    slim = timeline.lanes_area()
    top, bottom = slim.strip.ribbon
    assert bottom - top == SLIM_PX
    assert not slim.strip.has_words
    assert "Phases" in {name for name, _, _ in whole.names()}
    names = {name for name, _, _ in slim.names()}
    assert "Phases" not in names
    assert {"To commend", "To correct"} <= names  # pins stand on it still
    grown = slim.place_of("comments")
    assert comments is not None
    assert grown is not None
    assert grown.height() > comments.height()  # what it leaves goes to the lanes
    event = next(t for t in presenter.markup.tags if t.kind is TagKind.EVENT)
    box = row_box(slim, event)
    assert box is not None
    assert timeline.row_at(box.center()) == event.id
    drag(timeline, spot(timeline, 40), spot(timeline, 47))
    (_, _, end), (_, start, _) = phases(presenter)[:2]
    assert max(start, end) == pytest.approx(47, abs=2 * per_px(timeline))


def test_phases_and_events_folded_leave_the_strip_alone(timeline: TimelineView) -> None:
    timeline.fold({"phases", "events"})
    lanes = timeline.lanes_area()
    assert [name for name, _, _ in lanes.names()] == ["Comments"]
    assert lanes.strip_px < 30
    top, bottom = lanes.strip.ribbon
    assert 0 <= top < bottom <= lanes.strip_px
    entry(timeline.menus.lanes_menu(), "Show all").trigger()  # type: ignore[attr-defined]
    assert timeline.lanes_area().strip_px > 60


# Sight


def test_the_overview_is_there_when_zoomed_in_and_moves_the_window(timeline: TimelineView) -> None:
    overview = timeline.overview
    assert overview.isHidden()
    timeline.zoom(5, 20)
    assert not overview.isHidden()
    assert timeline.lanes_area().area.bottom() <= overview.geometry().top() + 1
    low, high = timeline.getViewBox().viewRange()[0]
    assert overview.window().width() == pytest.approx((high - low) / 100 * overview.area().width())
    middle = overview.window().center().toPoint()
    QTest.mousePress(overview, LEFT, PLAIN, middle)
    QTest.mouseMove(overview, QPoint(round(overview.x_of(60)), middle.y()))
    QTest.mouseRelease(overview, LEFT, PLAIN, QPoint(round(overview.x_of(60)), middle.y()))
    moved = timeline.getViewBox().viewRange()[0]
    assert sum(moved) / 2 == pytest.approx(60, abs=1)
    assert moved[1] - moved[0] == pytest.approx(high - low)
    timeline.show_whole()
    assert overview.isHidden()


def test_a_playhead_out_of_sight_is_pointed_to_and_found(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    presenter.move_playhead(5 * S)
    assert timeline.head_side() == 0
    timeline.zoom(10, 80)
    assert timeline.head_side() == -1
    ruler = timeline._ruler
    sign = ruler.mapToScene(ruler._sign(-1).center()).toPoint()
    QTest.mouseClick(timeline.viewport(), LEFT, PLAIN, sign)
    assert timeline.head_side() == 0


def test_what_is_looked_at_stays_while_it_plays_elsewhere(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    presenter.move_playhead(5 * S)
    timeline.zoom(10, 80)
    shown = timeline.getViewBox().viewRange()[0]
    presenter.set_playing(True)
    presenter.move_playhead(6 * S)
    assert timeline.getViewBox().viewRange()[0] == shown
    presenter.set_playing(False)
    presenter.move_playhead(7 * S)
    assert timeline.head_side() == 0


def test_the_wheel_zooms_to_single_frames_under_the_pointer(
    timeline: TimelineView, qtbot: QtBot
) -> None:
    at_us = 40 * S
    for _ in range(60):
        timeline.zoom(1.25, at_us / S)
    low, high = timeline.getViewBox().viewRange()[0]
    assert high - low == pytest.approx(0.05)
    assert low < at_us / S < high
    lanes = timeline.lanes_area()
    qtbot.waitUntil(lambda: timeline.lanes._picture_of[4:6] == (lanes.start_us, lanes.end_us))


def test_many_at_one_place_say_how_many(timeline: TimelineView, presenter: ReviewPresenter) -> None:
    first = next(t for t in presenter.markup.tags if t.kind is TagKind.EVENT)
    others = [replace(first, id=RowId(new_id()), start_us=first.start_us + n) for n in (1, 2)]
    presenter.edit("two more", *(Put(other) for other in others))
    box = row_box(timeline.lanes_area(), first)
    assert box is not None
    other = next(e for e in presenter.vocabulary.events if e.code != first.code)
    near = replace(first, id=RowId(new_id()), start_us=first.start_us + 3, code=other.code)
    far = replace(first, id=RowId(new_id()), start_us=first.start_us + 5 * S)
    presenter.edit("another beside them, one apart", Put(near), Put(far))
    name = presenter.vocabulary.label(first.code)
    assert timeline.words_at(box.center()).splitlines() == [
        "4 events under this pin, 1:20.0 to 1:20.0",
        f"{name} (3)",
        other.label,
        "Zoom in to part them.",
    ]
    apart = row_box(timeline.lanes_area(), far)
    assert apart is not None
    assert timeline.words_at(apart.center()).splitlines()[0] == name


def test_pins_in_a_row_leave_gaps_between_them(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    first = next(t for t in presenter.markup.tags if t.kind is TagKind.EVENT)
    many = [replace(first, id=RowId(new_id()), start_us=n * S // 8) for n in range(800)]
    presenter.edit("eight a second", *(Put(each) for each in many))
    timeline.repaint_in(DARK)
    image = timeline.grab().toImage()
    lanes = timeline.lanes_area()
    density = timeline.devicePixelRatioF()
    stem_y = round((lanes.area.y() + lanes.strip.ribbon[1] + 2) * density)
    left, right = lanes.area.x() * density + 20, lanes.area.right() * density - 20
    is_pin = [
        image.pixelColor(x, stem_y).name() != DARK.ground for x in range(round(left), round(right))
    ]
    assert any(is_pin)
    assert sum(is_pin) < len(is_pin) / 2


def test_comments_take_turns_in_rows_where_the_lane_is_high(
    timeline: TimelineView, presenter: ReviewPresenter
) -> None:
    rows = [
        Comment(RowId(new_id()), presenter.session.id, f"Number {n}", (30 + n) * S)
        for n in range(6)
    ]
    presenter.edit("six comments", *(Put(row) for row in rows))
    timeline.fold({"phases", "events"})
    lanes = timeline.lanes_area()
    place, index = lanes.place_of("comments"), timeline.lanes.index
    assert place is not None
    assert n_comment_rows(place.height()) > 1
    for row in rows:
        box = row_box(lanes, row, index.comment_place(row))
        assert box is not None
        assert place.adjusted(0, -1, 0, 1).contains(box)
        assert timeline.row_at(box.center()) == row.id
        assert timeline.row_at(box.center() + QPointF(9, 0)) == row.id  # its words
