"""Small pictures along the timeline and under the pointer, on the real desk."""

from __future__ import annotations

import multiprocessing
import os
import signal
import statistics
import time
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from desk_driving import hover
from desk_scenes import tag_only_case
from held_deeds import held
from long_clips import lengthen
from numbered_clips import make_clip, read_number
from PIL import Image
from PySide6.QtCore import QEvent, QPoint, QRectF, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from annotate.clock import format_time
from annotate.people import TrainingLevel
from app.desk.window import DeskWindow
from app.intake import small_pictures
from app.intake.decoding import thumbnail_parts
from app.intake.small_pictures import kept_thumbnails
from app.intake.take_in import Intake, take_in
from app.jobs.apart_process import QUIET_NAME
from app.review.timeline_pictures import TimelinePictures
from app.review.view import ReviewView
from store import Store


def view_of(desk: DeskWindow) -> ReviewView:
    assert desk.review is not None
    return desk.review


def waited(desk: DeskWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: desk.thumbnails.is_idle, timeout=60_000)


@pytest.fixture
def pictured(reviewing: DeskWindow, qtbot: QtBot) -> DeskWindow:
    """The case open, with all its small pictures made."""
    waited(reviewing, qtbot)
    return reviewing


def small(desk: DeskWindow) -> TimelinePictures:
    return view_of(desk).small_pictures


def number_in(content: bytes) -> int | None:
    with Image.open(BytesIO(content)) as image:
        return read_number(np.asarray(image.convert("RGB")))


def test_they_are_made_for_all_parts_and_are_the_frames_they_say(pictured: DeskWindow) -> None:
    pictures, feed = small(pictured).pictures, view_of(pictured).player.feed
    assert pictures.is_complete
    assert feed is not None
    length_us = view_of(pictured).presenter.length_us
    seen = set()
    for time_us in range(0, length_us, length_us // 200):
        found = pictures.nearest(time_us)
        assert found is not None
        assert number_in(found.content) == feed.number_at(found.time_us)
        seen.add(found.key)
    assert len(seen) == pictures.n_made > 30


def test_they_are_kept_and_not_made_again(pictured: DeskWindow, qtbot: QtBot, store: Store) -> None:
    marks = [clip.fingerprint for clip in store.case("R-07-003").clips]
    kept = [kept_thumbnails(store, mark) for mark in marks]
    assert all(found.is_complete for found in kept)
    pictured.show_caseload()
    pictured.open_case("R-07-003")
    assert pictured.thumbnails.is_idle
    assert small(pictured).pictures.is_complete
    assert [kept_thumbnails(store, m).pictures for m in marks] == [k.pictures for k in kept]


def test_making_goes_on_when_the_case_is_left(desk: DeskWindow, qtbot: QtBot, store: Store) -> None:
    desk.open_case("R-07-003")
    desk.show_caseload()
    assert not desk.thumbnails.is_idle
    waited(desk, qtbot)
    for clip in store.case("R-07-003").clips:
        assert kept_thumbnails(store, clip.fingerprint).is_complete


def test_damaged_ones_are_made_again(desk: DeskWindow, qtbot: QtBot, store: Store) -> None:
    (first, _) = store.case("R-07-003").clips
    store.keep_derived("thumbnails", first.fingerprint, "1.1", b"not pictures")
    desk.open_case("R-07-003")
    waited(desk, qtbot)
    assert kept_thumbnails(store, first.fingerprint).is_complete


def test_an_intake_makes_them_too(desk: DeskWindow, qtbot: QtBot, tmp_path: Path) -> None:
    make_clip(tmp_path / "new.mp4", n_frames=40, first_number=900)
    desk.taking_in.take_in(Intake([tmp_path / "new.mp4"], "R-07", 4, "phaco-chop"))
    qtbot.waitUntil(lambda: "R-07-004" in desk.caseload.presenter.codes, timeout=60_000)
    waited(desk, qtbot)
    (clip,) = desk.store.case("R-07-004").clips
    assert kept_thumbnails(desk.store, clip.fingerprint).is_complete
    qtbot.waitUntil(lambda: desk.background.current is None, timeout=60_000)


# The band


def test_each_picture_stands_where_it_belongs_at_any_zoom(pictured: DeskWindow) -> None:
    timeline, band = view_of(pictured).timeline, small(pictured).band
    for factor in (1.0, 2.0, 3.0, 0.25):
        timeline.zoom(factor, 3.0)
        slots = band.slots()
        shown = [(place, found.picture) for place, found in slots if found and found.is_here]
        assert shown
        for place, picture in shown:
            assert place.left() - 1 <= timeline.x_of(picture.time_us) <= place.right() + 2
        borrowed = [(place, found.picture) for place, found in slots if found and not found.is_here]
        for place, picture in borrowed:
            assert not place.left() <= timeline.x_of(picture.time_us) <= place.right()
        lefts = [place.left() for place, _ in slots]
        assert np.allclose(np.diff(lefts), lefts[1] - lefts[0] if len(lefts) > 1 else 0, atol=1)


def test_the_band_paints_the_pictures_that_it_says(pictured: DeskWindow) -> None:
    pictured.resize(1366, 768)
    band = small(pictured).band
    image = band.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    buffer = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1)
    pixels = buffer[:, : image.width() * 3].reshape(image.height(), image.width(), 3)
    head = view_of(pictured).timeline.x_of(0)
    places = [
        (place, found.picture)
        for place, found in band.slots()
        if found and found.is_here and place.left() > head + 2 and place.right() < image.width()
    ]
    assert len(places) >= 5
    for place, picture in places:
        content = QImage.fromData(picture.content)
        width = content.width() * place.height() / content.height()
        drawn = QRectF(place.center().x() - width / 2, 0, width, place.height()).toRect()
        cut = pixels[:, drawn.left() : drawn.right() + 1]
        assert read_number(cut) == number_in(picture.content)


def test_a_band_without_pictures_says_so_in_words(reviewing: DeskWindow, qtbot: QtBot) -> None:
    own = small(reviewing)
    assert own.band.accessibleName() == "Small pictures along the timeline"
    waited(reviewing, qtbot)
    assert own.band.accessibleDescription() == (
        f"{own.pictures.n_made} small pictures. Where none was made, the nearest within 30 s "
        "stands, drawn dim."
    )
    own._of_clip = type(reviewing.thumbnails)(reviewing.store).of  # a shelf with nothing on it
    own.band.look_again()
    assert own.band.accessibleDescription() == "Small pictures are being made ..."
    assert not any(found for _, found in own.band.slots())
    own.band.grab()


def test_a_case_without_clips_has_no_band(desk: DeskWindow, store: Store) -> None:
    store.take_in(tag_only_case("R-09-001"), "A-01")
    desk.open_case("R-09-001")
    assert small(desk).band.isHidden()
    assert desk.thumbnails.is_idle


def test_a_click_on_the_band_goes_there(pictured: DeskWindow, qtbot: QtBot) -> None:
    view, band = view_of(pictured), small(pictured).band
    feed = view.player.feed
    assert feed is not None
    x = round(view.timeline.x_of(view.presenter.length_us // 2))
    QTest.mouseClick(band, Qt.MouseButton.LeftButton, pos=QPoint(x, 5))
    wanted = feed.number_at(view.timeline.time_at(QPoint(x, 5)))
    qtbot.waitUntil(lambda: view.picture.shown_number == wanted, timeout=20_000)


@pytest.mark.parametrize("size", [(1366, 768), (1920, 1080)])
def test_the_picture_keeps_half_of_the_window(
    pictured: DeskWindow, qtbot: QtBot, size: tuple[int, int]
) -> None:
    pictured.resize(*size)
    picture = view_of(pictured).picture
    qtbot.waitUntil(lambda: picture.width() * picture.height() >= size[0] * size[1] / 2)
    assert (pictured.width(), pictured.height()) == size
    assert small(pictured).band.height() >= 30


# Under the pointer


def test_the_card_tells_time_frame_and_phase(pictured: DeskWindow, qtbot: QtBot) -> None:
    view, card = view_of(pictured), small(pictured).card
    feed, presenter = view.player.feed, view.presenter
    assert feed is not None
    term = presenter.vocabulary.phases[4]
    presenter.press(term)
    view.go_to_number(100)
    qtbot.waitUntil(lambda: view.picture.shown_number == 100, timeout=20_000)
    presenter.press(presenter.vocabulary.phases[5])
    time_us = hover(pictured, presenter.playhead_us // 2)
    qtbot.waitUntil(card.isVisible)
    number = feed.number_at(time_us)
    assert card.where.text() == f"{format_time(feed.time_of(number))}   frame {number}"
    assert card.phase.text() == term.label
    found = small(pictured).pictures.nearest(time_us)
    assert found is not None
    assert card.shown_key == found.key
    assert 100 <= card.picture.pixmap().width() <= 320
    assert card.accessibleDescription().startswith(f"{card.where.text()}, {term.label}")
    assert view.picture.geometry().contains(card.geometry())
    QApplication.sendEvent(view.timeline.viewport(), QEvent(QEvent.Type.Leave))
    assert not card.isVisible()


def test_the_card_comes_over_the_band_and_at_both_ends(pictured: DeskWindow, qtbot: QtBot) -> None:
    view, own = view_of(pictured), small(pictured)
    for time_us in (0, view.presenter.length_us):
        x = min(round(view.timeline.x_of(time_us)), own.band.width() - 1)
        QTest.mouseMove(own.band, QPoint(x, own.band.height() // 2))
        qtbot.waitUntil(own.card.isVisible)
        assert view.picture.geometry().contains(own.card.geometry())
        assert own.card.phase.text() == "No phase"
    QApplication.sendEvent(own.band, QEvent(QEvent.Type.Leave))
    assert not own.card.isVisible()


def test_the_card_is_there_within_five_milliseconds(pictured: DeskWindow) -> None:
    own, length_us = small(pictured), view_of(pictured).presenter.length_us
    took = []
    for n in range(100):
        start = time.perf_counter()
        own.pictures.nearest(length_us * (n * 37 % 100) // 100)
        took.append(time.perf_counter() - start)
    assert statistics.median(took) < 0.005


# Many, and the unforeseen


@pytest.fixture(scope="module")
def long_clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two minutes, with a picture for each second."""
    folder = tmp_path_factory.mktemp("long")
    make_clip(folder / "short.mp4", n_frames=90, width=160, height=120, b_frames=0, gop=30)
    lengthen(folder / "short.mp4", folder / "long.mp4", 40)
    return folder / "long.mp4"


@pytest.fixture
def long_case(store: Store, long_clip: Path) -> Store:
    wanted = Intake([long_clip], "R-41", 1, "phaco-chop", level=TrainingLevel.FELLOW)
    take_in(store, wanted, "A-01")
    return store


@pytest.fixture
def hold(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Callable[[float], Path]:
    """Make the long clip's pictures wait at a share of them until the file that is given exists."""

    def at(share: float) -> Path:
        gate = tmp_path / "go-on"
        deed = held(thumbnail_parts, gate, share, "long.mp4")
        monkeypatch.setattr(small_pictures, "thumbnail_parts", deed)
        return gate

    return at


def test_closing_the_desk_in_the_middle_keeps_what_was_made(
    long_case: Store, desk: DeskWindow, qtbot: QtBot, hold: Callable[[float], Path]
) -> None:
    hold(0.5)
    desk.open_case("R-41-001")
    mark = long_case.case("R-41-001").clips[0].fingerprint
    qtbot.waitUntil(lambda: len(desk.thumbnails.of(mark)) >= 50, timeout=60_000)
    start = time.monotonic()
    desk.thumbnails.close()
    assert time.monotonic() - start < 1
    kept = kept_thumbnails(long_case, mark)
    assert 50 <= len(kept) < 120
    assert not kept.is_complete
    assert np.diff([0, *kept.times_us.tolist(), 120_000_000]).max() < 12_000_000


def test_the_case_on_the_screen_comes_first_and_the_other_goes_on_later(
    long_case: Store, desk: DeskWindow, qtbot: QtBot, hold: Callable[[float], Path]
) -> None:
    gate, shelf = hold(0.2), desk.thumbnails
    mark = long_case.case("R-41-001").clips[0].fingerprint
    marks = [mark, *(clip.fingerprint for clip in long_case.case("R-07-003").clips)]
    order: list[str] = []

    def note() -> None:
        order.extend(m for m in marks if shelf.of(m).is_complete and m not in order)

    shelf.changed.connect(note)
    desk.open_case("R-41-001")
    qtbot.waitUntil(lambda: len(shelf.of(mark)) > 0, timeout=60_000)
    desk.open_case("R-07-003")
    qtbot.waitUntil(lambda: order == marks[1:], timeout=60_000)
    gate.touch()
    waited(desk, qtbot)
    assert order == [*marks[1:], mark]
    assert len(kept_thumbnails(long_case, mark)) == 120
    assert kept_thumbnails(long_case, mark).is_complete


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="killed as POSIX kills")
def test_a_reader_that_dies_meanwhile_is_made_good(
    long_case: Store, desk: DeskWindow, qtbot: QtBot, hold: Callable[[float], Path]
) -> None:
    gate = hold(0.2)
    desk.open_case("R-41-001")
    mark = long_case.case("R-41-001").clips[0].fingerprint
    qtbot.waitUntil(lambda: 8 <= len(desk.thumbnails.of(mark)) < 120, timeout=60_000)
    readers = [p for p in multiprocessing.active_children() if p.name == QUIET_NAME]
    assert readers
    for process in readers:
        os.kill(process.pid or 0, signal.SIGKILL)
    gate.touch()
    waited(desk, qtbot)
    assert kept_thumbnails(long_case, mark).is_complete
    assert len(desk.thumbnails.of(mark)) == 120
