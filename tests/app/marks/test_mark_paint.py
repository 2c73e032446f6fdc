"""Marks on an array of pixels: what is painted lies where it should, on any ground."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from numpy.typing import NDArray

from annotate.clip.showing import Framing
from annotate.ids import RowId, SessionId
from annotate.marks import Mark, MarkKind, MarkLook, Point
from app.marks.layout import FADE_US, dashes, marks_at, opacity_at, place_in
from app.marks.paint import painted

GROUND = (150, 60, 50)
S = 1_000_000


def mark(kind: MarkKind, *points: Point, **more: object) -> Mark:
    return Mark(RowId("m"), SessionId("s"), kind, 0, 10 * S, points, **more)  # type: ignore[arg-type]


def changed(
    *marks: Mark, size: tuple[int, int] = (480, 270), framing: Framing | None = None
) -> NDArray[np.bool_]:
    """Where painting changed the picture: (height, width)."""
    before = np.full((size[1], size[0], 3), GROUND, np.uint8)
    after = before.copy()
    place = place_in(*size) if framing is None else place_in(*size, framing)
    box = painted(after, marks, 0, place)
    where = np.asarray((after != before).any(axis=2))
    if box is None:
        assert not where.any()
    else:
        outside = where.copy()
        outside[box[1] : box[3], box[0] : box[2]] = False
        assert not outside.any()
    return where


def test_picture_without_marks_is_left_alone() -> None:
    assert not changed().any()


def test_ring_lies_on_its_radius_whatever_the_pictures_shape() -> None:
    """Centre (240, 135), rim 0.1 of the width to the right: a radius of 48 pixels."""
    where = changed(mark(MarkKind.RING, (0.5, 0.5), (0.6, 0.5)))
    rows, columns = np.nonzero(where)
    away = np.hypot(columns + 0.5 - 240, rows + 0.5 - 135)
    assert np.abs(away - 48).max() < 4.5
    assert np.median(away) == pytest.approx(48, abs=0.3)
    assert not where[135, 240]


def test_line_joins_its_ends() -> None:
    where = changed(mark(MarkKind.LINE, (0.25, 0.5), (0.75, 0.5)))
    assert where[135, 121:359].all()
    assert not where[135, :110].any()


def test_arrow_has_its_head_at_the_last_point() -> None:
    where = changed(mark(MarkKind.ARROW, (0.25, 0.5), (0.75, 0.5)))
    near_head = where[:, 335:365].any(axis=1).sum()
    near_tail = where[:, 110:140].any(axis=1).sum()
    assert near_head > near_tail


def test_freehand_follows_every_point() -> None:
    points = tuple((0.1 + 0.01 * i, 0.5 + 0.2 * np.sin(i / 5)) for i in range(80))
    where = changed(mark(MarkKind.FREEHAND, *points))
    assert all(where[round(y * 270), round(x * 480)] for x, y in points)


def test_text_is_written_at_its_point_and_upright_whatever_the_turn() -> None:
    words = mark(MarkKind.TEXT, (0.25, 0.5), text="leading haptic \u00b5\u00b1\u6f22")
    rows, columns = np.nonzero(changed(words))
    assert columns.min() == pytest.approx(120, abs=4)
    assert rows.max() == pytest.approx(135, abs=10)
    turned = Framing(270, 480, turn_deg=90, is_mirrored=True)
    rows, columns = np.nonzero(changed(words, size=(270, 480), framing=turned))
    assert np.ptp(columns) > 3 * np.ptp(rows)


def test_words_of_a_mark_at_the_edge_stay_in_the_picture() -> None:
    words = mark(MarkKind.TEXT, (0.95, 0.02), text="near the corner")
    assert not changed(words)[:, :300].any()
    middle = changed(mark(MarkKind.TEXT, (0.3, 0.5), text="near the corner"))
    assert changed(words).sum() == pytest.approx(middle.sum(), rel=0.02)


@pytest.mark.parametrize("look", list(MarkLook))
def test_stroke_shows_on_light_and_dark(look: MarkLook) -> None:
    for ground in ((255, 255, 255), (0, 0, 0), (127, 200, 174), (60, 60, 200)):
        before = np.full((200, 300, 3), ground, np.uint8)
        after = before.copy()
        painted(after, [mark(MarkKind.LINE, (0.2, 0.5), (0.8, 0.5), look=look)], 0,
                place_in(300, 200))  # fmt: skip
        difference = np.abs(after.astype(int) - before.astype(int))
        assert difference.max() > 100


def test_looks_differ_by_their_dash_alone() -> None:
    """Lengths of light along a level line, in grey: the colour is taken away."""
    runs = {}
    for look in MarkLook:
        sheet = np.zeros((60, 600, 3), np.uint8)
        line = mark(MarkKind.LINE, (0.1, 0.5), (0.9, 0.5), look=look)
        painted(sheet, [line], 0, place_in(600, 60), core=3.0)
        lit = sheet[30].max(axis=1) > 120
        edges = np.flatnonzero(np.diff(np.r_[False, lit, False].astype(int)))
        lengths = edges[1::2] - edges[::2]
        runs[look] = (len(lengths), int(lengths[1:-1].max(initial=0)), int(lengths.min()))
    assert runs[MarkLook.CHALK][0] == 1
    assert len(set(runs.values())) == len(MarkLook)
    assert runs[MarkLook.AMBER][2] > 2 * runs[MarkLook.SKY][1]
    assert runs[MarkLook.ROSE][1] > 2 * runs[MarkLook.ROSE][2]


def test_dashes_leave_nothing_out_and_add_nothing() -> None:
    line = [(0.0, 0.0), (7.0, 0.0), (7.0, 13.0)]
    parts = dashes(line, (4.0, 1.0))
    length = sum(
        np.hypot(b[0] - a[0], b[1] - a[1]) for p in parts for a, b in itertools.pairwise(p)
    )
    assert length == pytest.approx(16.0)
    assert len(parts) == 4


def test_spotlight_dims_the_rest_with_a_soft_edge() -> None:
    sheet = np.full((270, 480, 3), 200, np.uint8)
    light = mark(MarkKind.SPOTLIGHT, (0.5, 0.5), (0.6, 0.5))
    assert painted(sheet, [light], 0, place_in(480, 270)) == (0, 0, 480, 270)
    assert (sheet[135, 225:255] == 200).all()
    assert (sheet[5, 5] < 90).all()
    profile = sheet[135, 270:330, 0].astype(int)
    assert (np.diff(profile) <= 0).all()
    assert np.diff(profile).min() > -30


def test_two_spotlights_both_leave_their_place_lit() -> None:
    sheet = np.full((270, 480, 3), 200, np.uint8)
    lights = [mark(MarkKind.SPOTLIGHT, (x, 0.5), (x + 0.08, 0.5)) for x in (0.25, 0.75)]
    painted(sheet, lights, 0, place_in(480, 270))
    assert (sheet[135, 120] == 200).all()
    assert (sheet[135, 360] == 200).all()
    assert (sheet[135, 240] < 90).all()


@pytest.mark.parametrize("kind", [k for k in MarkKind if k is not MarkKind.SPOTLIGHT])
def test_mark_of_one_point_outside_the_picture_does_no_harm(kind: MarkKind) -> None:
    assert not changed(mark(kind, (3.0, -2.0), text="x")).any()


def test_overlay_laid_over_a_picture_is_the_picture_painted_upon() -> None:
    """Both ways, within a level of rounding; the overlay is multiplied by its alpha."""
    rng = np.random.default_rng(5)
    picture = rng.integers(0, 256, (270, 480, 3), dtype=np.uint8)
    marks = [
        mark(MarkKind.SPOTLIGHT, (0.3, 0.4), (0.45, 0.4)),
        mark(MarkKind.RING, (0.6, 0.5), (0.7, 0.5), look=MarkLook.AMBER, text="here"),
        mark(MarkKind.ARROW, (0.1, 0.9), (0.5, 0.5), look=MarkLook.ROSE),
    ]
    overlay = np.zeros((270, 480, 4), np.uint8)
    painted(overlay, marks, 0, place_in(480, 270))
    share = overlay[..., 3:].astype(float) / 255
    laid = overlay[..., :3] + picture * (1 - share)
    painted(picture, marks, 0, place_in(480, 270))
    assert np.abs(laid - picture).max() <= 3
    assert (overlay[..., :3].max(axis=2) <= overlay[..., 3].astype(int) + 1).all()


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
@pytest.mark.parametrize("is_mirrored", [False, True])
def test_a_zoomed_turned_view_has_the_mark_on_the_same_point(
    turn: int, *, is_mirrored: bool
) -> None:
    """A small ring, found by its middle, and taken back to the picture."""
    size = (500, 400)
    framing = Framing(*size, (0.3, 0.25, 0.4, 0.5), turn, is_mirrored)
    at = framing.to_picture(0.62, 0.4)
    rim = framing.to_picture(0.66, 0.4)
    rows, columns = np.nonzero(changed(mark(MarkKind.RING, at, rim), size=size, framing=framing))
    middle = (columns.mean() + 0.5, rows.mean() + 0.5)
    assert middle == pytest.approx((0.62 * size[0], 0.4 * size[1]), abs=0.5)


def test_fading_comes_and_goes_and_a_still_has_it_whole() -> None:
    fading = mark(MarkKind.LINE, (0.2, 0.5), (0.8, 0.5), is_fading=True)
    assert opacity_at(fading, 5 * S) == 1.0
    assert opacity_at(fading, FADE_US // 2) == pytest.approx(0.5)
    assert 0 < opacity_at(fading, 0) < 0.2
    assert opacity_at(fading, 10 * S - FADE_US // 2) == pytest.approx(0.5)
    faint, whole = (np.zeros((100, 200, 3), np.uint8) for _ in range(2))
    painted(faint, [fading], 0, place_in(200, 100))
    painted(whole, [fading], 0, place_in(200, 100), is_fading=False)
    assert whole.max() > 3 * faint.max()


def test_a_mark_is_seen_from_its_first_frame_to_its_last() -> None:
    one = mark(MarkKind.LINE, (0.2, 0.5), (0.8, 0.5))
    assert marks_at([one], 0) == marks_at([one], 10 * S - 1) == (one,)
    assert marks_at([one], 10 * S) == ()
    late = Mark(RowId("l"), SessionId("s"), MarkKind.LINE, 30_000, S, ((0, 0), (1, 1)))
    assert marks_at([late], 0, 40_000) == (late,)
    assert marks_at([late], 0) == ()
