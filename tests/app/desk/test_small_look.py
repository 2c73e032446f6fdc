"""Small pictures go with the large one: turned, mirrored and toned alike, live, by pixels."""

from __future__ import annotations

from itertools import product

import cv2
import numpy as np
import pytest
from desk_driving import hover, painted, pixels, press, view_of, wait_exact
from numbered_clips import read_number
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QPoint, QRectF, Qt
from PySide6.QtGui import QHelpEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QToolTip
from pytestqt.qtbot import QtBot

from annotate.clip.showing import NEUTRAL, Tone
from annotate.clock import format_time
from app.desk.window import DeskWindow
from app.review.case_looks import CaseLook
from app.review.case_pictures import SmallPicture
from app.review.small_look import aspect_seen
from app.review.thumbnail_band import DIM
from app.review.viewpoint import Viewpoint

TONE = Tone(0.1, 1.3, 1.2)


@pytest.fixture
def pictured(reviewing: DeskWindow, qtbot: QtBot) -> DeskWindow:
    qtbot.waitUntil(lambda: reviewing.thumbnails.is_idle, timeout=60_000)
    settle(reviewing, qtbot, (1366, 768))
    return reviewing


def settle(desk: DeskWindow, qtbot: QtBot, size: tuple[int, int]) -> None:
    """Give the desk a size, and wait until its parts have theirs."""
    desk.resize(*size)
    view = view_of(desk)

    def is_laid_out() -> bool:
        edges = (
            view.side.mapTo(view, view.side.rect().bottomRight()).x(),
            view.timeline.mapTo(view, view.timeline.rect().bottomRight()).y(),
        )
        return (*edges, desk.width(), desk.height()) == (
            view.width() - 1, view.height() - 1, *size,
        )  # fmt: skip

    qtbot.waitUntil(is_laid_out)


def on_card(desk: DeskWindow) -> NDArray[np.uint8]:
    return pixels(view_of(desk).small_pictures.card.picture.pixmap().toImage())


def in_band(desk: DeskWindow, wanted: SmallPicture) -> NDArray[np.uint8]:
    """What is painted in the place in which a picture lies."""
    band = view_of(desk).small_pictures.band
    place = next(p for p, found in band.slots() if found and found.picture.key == wanted.key)
    return cut(desk, place)


def one_in_band(desk: DeskWindow) -> SmallPicture:
    """A picture whose place is wholly in sight, in the middle of the band, at any look."""
    view = view_of(desk)
    own = [f.picture for _, f in view.small_pictures.band.slots() if f and f.is_here]
    return own[len(own) // 3]


def cut(desk: DeskWindow, place: QRectF) -> NDArray[np.uint8]:
    image = pixels(view_of(desk).small_pictures.band.grab().toImage())
    box = place.toRect()
    return image[:, max(box.left(), 0) : box.right() + 1]


def apart(one: NDArray[np.uint8], other: NDArray[np.uint8]) -> float:
    """Mean difference of two pictures seen as coarsely as a small one, levels of 255."""
    small = [cv2.resize(p, (24, 24), interpolation=cv2.INTER_AREA) for p in (one, other)]
    return float(np.abs(small[0].astype(int) - small[1].astype(int)).mean())


@pytest.mark.parametrize(
    ("turn_deg", "is_mirrored"), list(product((0, 90, 180, 270), (False, True)))
)
def test_band_and_card_show_what_the_large_picture_shows(
    pictured: DeskWindow, qtbot: QtBot, turn_deg: int, is_mirrored: bool
) -> None:
    view = view_of(pictured)
    picture = view.picture
    picture.look_from(Viewpoint(turn_deg=turn_deg))
    small = one_in_band(pictured)
    picture.look_from(Viewpoint())
    view.go_to_time(small.time_us)
    qtbot.waitUntil(lambda: view.presenter.playhead_us == small.time_us, timeout=20_000)
    hover(pictured, small.time_us)
    plain = on_card(pictured)
    picture.look_from(Viewpoint(turn_deg=turn_deg, is_mirrored=is_mirrored))
    picture.set_tone(TONE)
    qtbot.waitUntil(lambda: picture._made_as == picture.framing, timeout=20_000)
    qtbot.waitUntil(lambda: apart(painted(picture), on_card(pictured)) < 6, timeout=20_000)
    large = painted(picture)
    assert apart(large, plain) > 12  # the tone alone tells the two apart
    view.presenter.move_playhead(0)  # its line is out of the way
    band = in_band(pictured, small)
    assert apart(large, band) < 14  # coarser still, and beside its neighbours
    for other in (large[:, ::-1], large[::-1], large[::-1, ::-1]):
        assert apart(other, band) > 2 * apart(large, band)
    shape = on_card(pictured).shape
    assert shape[1] / shape[0] == pytest.approx(3 / 4 if turn_deg % 180 else 4 / 3, abs=0.02)


def test_a_mirrored_small_picture_is_the_right_one_the_other_way_round(
    pictured: DeskWindow,
) -> None:
    view = view_of(pictured)
    feed = view.player.feed
    assert feed is not None
    small = one_in_band(pictured)
    hover(pictured, small.time_us)
    number = feed.number_at(small.time_us)
    assert read_number(on_card(pictured)) == number
    view.act("mirror")  # the card is there, and follows at once
    assert read_number(on_card(pictured)) != number
    assert read_number(on_card(pictured)[:, ::-1]) == number
    assert read_number(in_band(pictured, small)[:, ::-1]) == number
    view.act("turn")
    assert read_number(np.rot90(on_card(pictured), 1)[:, ::-1]) == number


def test_the_held_key_shows_small_originals_too(pictured: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(pictured)
    small = one_in_band(pictured)
    hover(pictured, small.time_us)
    card, band = on_card(pictured), in_band(pictured, small)
    view.picture.look_from(Viewpoint(turn_deg=180))
    view.picture.set_tone(TONE)
    turned = on_card(pictured)
    assert apart(turned, card) > 12
    QTest.keyPress(view.picture, Qt.Key.Key_P)
    assert np.array_equal(on_card(pictured), card)
    assert np.array_equal(in_band(pictured, small), band)
    QTest.keyRelease(view.picture, Qt.Key.Key_P)
    assert np.array_equal(on_card(pictured), turned)
    assert view.picture.tone != NEUTRAL
    wait_exact(view.picture, qtbot)


def test_turned_places_are_as_narrow_as_their_pictures() -> None:
    assert aspect_seen(4 / 3, CaseLook(turn_deg=270)) == pytest.approx(3 / 4)
    assert aspect_seen(4 / 3, CaseLook(turn_deg=180, is_mirrored=True)) == pytest.approx(4 / 3)


def test_a_place_without_a_picture_shows_the_nearest_dimly(pictured: DeskWindow) -> None:
    view = view_of(pictured)
    band = view.small_pictures.band
    view.timeline.zoom(12, view.presenter.length_us / 2e6)
    slots = band.slots()
    width = band.width()
    whole = [(p, f) for p, f in slots if p.left() > band._area().left() and p.right() < width]
    assert len(whole) > 5
    assert all(found is not None for _, found in whole)
    lent = [(p, f.picture) for p, f in whole if f and not f.is_here]
    own = [(p, f.picture) for p, f in whole if f and f.is_here]
    assert lent
    assert own
    for (place, picture), is_dim in [*((x, True) for x in lent), *((x, False) for x in own)]:
        seen = cut(pictured, place)
        contrast = np.percentile(seen, 95) - np.percentile(seen, 5)
        whole_range = 228 - 24  # levels of the blocks in a numbered clip
        assert (contrast < whole_range * (DIM + 0.15)) == is_dim, (place, picture.time_us)


# The card


@pytest.mark.parametrize("size", [(1024, 640), (1366, 768), (1920, 1080)])
def test_the_card_lies_within_the_pane_above_the_transport(
    pictured: DeskWindow, qtbot: QtBot, size: tuple[int, int]
) -> None:
    settle(pictured, qtbot, size)
    view = view_of(pictured)
    view.presenter.press(view.presenter.vocabulary.phases[4])
    card, pane = view.small_pictures.card, view.picture
    length_us = view.presenter.length_us
    for turn, time_us in product((0, 90), (0, length_us // 2, length_us)):
        pane.look_from(Viewpoint(turn_deg=turn))
        hover(pictured, time_us)
        assert card.isVisible()
        assert pane.geometry().contains(card.geometry())
        assert not card.geometry().intersects(view.transport.geometry())
        assert not card.geometry().intersects(view.side.geometry())
        assert card.height() <= pane.height() * 0.6
        assert card.height() == card.sizeHint().height()


def test_number_time_and_picture_of_the_card_agree(pictured: DeskWindow) -> None:
    view = view_of(pictured)
    feed, card = view.player.feed, view.small_pictures.card
    assert feed is not None
    exact = 0
    for share in range(1, 40):
        time_us = hover(pictured, view.presenter.length_us * share // 40)
        number = feed.number_at(time_us)
        own_us = feed.time_of(number)
        assert own_us <= time_us
        assert card.where.text() == f"{format_time(own_us)}   frame {number}"
        shown = read_number(on_card(pictured))
        assert shown is not None
        assert (shown == number) == card.of.isHidden()
        exact += shown == number
    small = view.small_pictures.pictures.nearest(view.presenter.length_us // 2)
    assert small is not None
    view.timeline.zoom(40, small.time_us / 1e6)
    hover(pictured, small.time_us + 8_000)
    assert card.of.isHidden()
    assert card.where.text().endswith(f"frame {read_number(on_card(pictured))}")


def test_a_tooltip_does_not_say_what_the_card_says(pictured: DeskWindow) -> None:
    view = view_of(pictured)
    viewport, card = view.timeline.viewport(), view.small_pictures.card
    press(pictured, Qt.Key.Key_A)  # an event at the first frame
    (event,) = view.presenter.markup.tags
    label = view.presenter.vocabulary.label(event.code)
    hover(pictured, 0)
    assert label in card.about.text()
    assert label in card.accessibleDescription()
    spot = QPoint(round(view.timeline.x_of(0)), view.timeline.height() // 2)
    ask = QHelpEvent(QEvent.Type.ToolTip, spot, viewport.mapToGlobal(spot))
    assert label in view.timeline.toolTip()
    assert QApplication.sendEvent(viewport, ask)
    assert not QToolTip.text()
    assert view.small_pictures.eventFilter(viewport, ask)
    card.hide()
    assert not view.small_pictures.eventFilter(viewport, ask)  # there the tooltip says it
