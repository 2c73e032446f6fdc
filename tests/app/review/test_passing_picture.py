"""While the pointer passes, a small picture of the place is better than a key picture far off."""

from __future__ import annotations

import numpy as np
import pytest
from numbered_clips import paint, read_number
from PySide6.QtCore import QBuffer, QIODevice
from PySide6.QtGui import QImage

from app.playing.shown import Shown
from app.review.case_pictures import SmallPicture
from app.review.passing_picture import nearer

S = 1_000_000


def jpeg(number: int) -> bytes:
    rgb = np.ascontiguousarray(paint(number, 243, 160))  # a width that rows are padded for
    image = QImage(rgb.data, 243, 160, 243 * 3, QImage.Format.Format_RGB888)
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, "JPEG", 90)  # type: ignore[call-overload]
    return bytes(buffer.data().data())


def number(time_us: int) -> int:
    return time_us * 30 // S


def shown(time_us: int, *, is_near: bool = True) -> Shown:
    return Shown(np.zeros((4, 4, 4), np.uint8), 0, time_us, time_us + 1, is_near=is_near)


@pytest.mark.parametrize(
    ("key_us", "small_us", "is_small"), [(0, 29 * S, True), (26 * S, 29 * S, False), (0, 0, False)]
)
def test_the_nearer_one_is_shown(key_us: int, small_us: int, is_small: bool) -> None:
    given = shown(key_us)
    found = nearer(given, 30 * S, lambda _: SmallPicture(("a", 870), small_us, jpeg(870)), number)
    assert (found is not given) == is_small
    if is_small:
        assert read_number(found.pixels[..., 2::-1]) == 870
        assert (found.number, found.is_near) == (870, True)


def test_an_exact_picture_stays_and_so_does_one_without_small_ones() -> None:
    exact, near = shown(0, is_near=False), shown(0)
    small = SmallPicture(("a", 1), 30 * S, jpeg(1))
    assert nearer(exact, 30 * S, lambda _: small, number) is exact
    assert nearer(near, 30 * S, None, number) is near
    assert nearer(near, 30 * S, lambda _: None, number) is near
    broken = SmallPicture(("a", 1), 30 * S, b"no picture")
    assert nearer(near, 30 * S, lambda _: broken, number) is near
