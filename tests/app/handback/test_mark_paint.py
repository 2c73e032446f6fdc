"""Marks on a still."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from annotate.ids import RowId, SessionId
from annotate.marks import Mark, MarkKind, Point
from app.handback.mark_paint import painted

GROUND = (150, 60, 50)


def mark(kind: MarkKind, *points: Point, text: str = "") -> Mark:
    return Mark(RowId("m"), SessionId("s"), kind, 0, 1, points, text)


def changed(*marks: Mark, size: tuple[int, int] = (480, 270)) -> np.ndarray:
    """Where painting changed the picture: a boolean array (height, width)."""
    before = Image.new("RGB", size, GROUND)
    after = painted(before, marks)
    assert after.size == size
    return (np.asarray(after) != np.asarray(before)).any(axis=2)


def test_picture_without_marks_is_left_alone() -> None:
    picture = Image.new("RGB", (10, 10), GROUND)
    assert painted(picture, []) is picture


def test_ring_lies_on_its_radius_whatever_the_pictures_shape() -> None:
    """Centre (240, 135), rim 0.1 of the width to the right: a radius of 48 pixels."""
    where = changed(mark(MarkKind.RING, (0.5, 0.5), (0.6, 0.5)))
    for x, y in ((288, 135), (192, 135), (240, 87), (240, 183)):
        assert where[y, x]
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


def test_text_is_written_at_its_point() -> None:
    where = changed(mark(MarkKind.TEXT, (0.25, 0.5), text="leading haptic \u00b5\u00b1\u6f22"))
    rows, columns = np.nonzero(where)
    assert columns.min() == pytest.approx(120, abs=4)
    assert rows.max() == pytest.approx(135, abs=10)


def test_stroke_shows_on_light_and_dark() -> None:
    for ground in ((255, 255, 255), (0, 0, 0), (127, 200, 174)):
        before = Image.new("RGB", (300, 200), ground)
        after = painted(before, [mark(MarkKind.LINE, (0.2, 0.5), (0.8, 0.5))])
        difference = np.abs(np.asarray(after, dtype=int) - np.asarray(before, dtype=int))
        assert difference.max() > 100


@pytest.mark.parametrize("kind", list(MarkKind))
def test_mark_of_one_point_outside_the_picture_does_no_harm(kind: MarkKind) -> None:
    assert not changed(mark(kind, (3.0, -2.0), text="x")).any()
