"""The transport, loops, stills, the clipboard, typed places and the page of keys, on the desk."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import cv2
import numpy as np
import pytest
from desk_driving import CONTROL, SHIFT, pixels, press, view_of, wait_exact
from desk_scenes import opened, presenter_on, tag_only_case
from numbered_clips import read_number
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from annotate.clip.showing import Tone
from app.commands.table import actions
from app.desk.ask import LineDialog
from app.desk.keys_page import KeysPage
from app.desk.start import make_application
from app.desk.window import DeskWindow
from app.look.palette import DARK
from app.picture_file import write_png
from app.playing.answers import Pace, Way
from app.review.copying import still_name
from app.review.pace_words import pace_words
from app.review.presenter import ReviewPresenter
from app.review.timeline import TimelineView
from app.review.transport import Transport
from app.review.transport_room import groups_shown
from app.review.viewpoint import Viewpoint


@pytest.fixture
def presenter(tmp_path: Path, qapp: object) -> Iterator[ReviewPresenter]:
    """A session on a case of two hours, without a window."""
    make_application("dark")
    with opened(tmp_path) as store:
        yield presenter_on(store, tag_only_case(length_us=7_200_000_000))


def go_to(desk: DeskWindow, qtbot: QtBot, number: int) -> None:
    view_of(desk).go_to_number(number)
    qtbot.waitUntil(lambda: view_of(desk).picture.shown_number == number, timeout=20_000)


# Loops


def test_a_loop_is_set_by_keys_and_gone_round_in(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    go_to(reviewing, qtbot, 60)
    press(reviewing, Qt.Key.Key_Home, Qt.KeyboardModifier.ShiftModifier)
    go_to(reviewing, qtbot, 75)
    press(reviewing, Qt.Key.Key_End, Qt.KeyboardModifier.ShiftModifier)
    loop = view.presenter.loop
    assert loop is not None
    assert "Loop" in view.transport.state_words
    seen: list[int] = []
    view.presenter.playhead_moved.listen(lambda: seen.append(view.picture.shown_number or 0))
    go_to(reviewing, qtbot, 5)
    seen.clear()
    press(reviewing, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: sum(b < a for a, b in pairwise(seen)) >= 2, timeout=20_000)
    assert min(seen[1:]) >= 60
    assert max(seen[1:]) <= 75
    press(reviewing, Qt.Key.Key_L)
    assert view.presenter.loop is None
    qtbot.waitUntil(lambda: (view.picture.shown_number or 0) > 80, timeout=20_000)
    press(reviewing, Qt.Key.Key_Space)


def test_looping_what_is_chosen_goes_there(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    for number in (30, 50):
        go_to(reviewing, qtbot, number)
        key = next(t.key for t in view.presenter.vocabulary.terms if t.code == "sculpt")
        QTest.keyClicks(view.picture, key)
    (tag,) = view.presenter.markup.tags
    go_to(reviewing, qtbot, 150)
    view.presenter.choose(tag.id)
    press(reviewing, Qt.Key.Key_L)
    assert view.presenter.loop == (tag.start_us, tag.end_us)
    qtbot.waitUntil(lambda: view.picture.shown_number == 30, timeout=20_000)


def test_the_loop_is_drawn_as_a_shape_on_the_timeline(
    presenter: ReviewPresenter, qtbot: QtBot
) -> None:
    timeline = TimelineView(presenter, DARK)
    qtbot.addWidget(timeline)
    timeline.resize(974, 150)
    timeline.show()
    edges = (1_500_000_000, 4_000_000_000)
    before = pixels(timeline.grab().toImage()).astype(int)
    for at_us, deed in zip(edges, (presenter.loop_from_here, presenter.loop_to_here), strict=True):
        presenter.move_playhead(at_us)
        deed()
    presenter.move_playhead(0)
    after = pixels(timeline.grab().toImage()).astype(int)
    _, columns = np.nonzero(np.abs(after - before).sum(axis=2) > 60)
    left, right = (round(timeline.x_of(us)) for us in edges)
    assert abs(columns.min() - left) < 4
    assert abs(columns.max() - right) < 4
    arms = np.bincount(columns, minlength=after.shape[1])
    assert min(arms[left - 2 : left + 3].max(), arms[right - 2 : right + 3].max()) > 60
    assert 1 <= arms[left + 40 : right - 40].max() <= 4


# Stills and the clipboard


def test_the_frame_is_copied_whole_and_as_filmed(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    go_to(reviewing, qtbot, 77)
    view.picture.look_from(Viewpoint(3.0, turn_deg=90, is_mirrored=True))
    view.picture.set_tone(Tone(0.3))
    QGuiApplication.clipboard().clear()
    press(reviewing, Qt.Key.Key_C, CONTROL)
    qtbot.waitUntil(lambda: not QGuiApplication.clipboard().image().isNull(), timeout=20_000)
    image = QGuiApplication.clipboard().image()
    assert (image.width(), image.height()) == (320, 240)
    assert read_number(pixels(image)) == 77
    assert not image.textKeys()
    assert "77" in reviewing.message_bar.words


def test_what_is_shown_is_copied_as_it_is_shown(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    view.picture.look_from(Viewpoint(turn_deg=180))
    wait_exact(view.picture, qtbot)
    press(reviewing, Qt.Key.Key_C, CONTROL | SHIFT)
    image = QGuiApplication.clipboard().image()
    framing = view.picture.framing
    assert (image.width(), image.height()) == (framing.width, framing.height)
    assert read_number(np.ascontiguousarray(np.rot90(pixels(image), 2))) == 0


def test_a_still_is_saved_under_a_name_that_tells_nothing_of_the_source(
    reviewing: DeskWindow, qtbot: QtBot, tmp_path: Path, clips: list[Path]
) -> None:
    go_to(reviewing, qtbot, 130)
    press(reviewing, Qt.Key.Key_S, CONTROL)
    qtbot.waitUntil(lambda: bool(reviewing.findChildren(QFileDialog)), timeout=20_000)
    (chooser,) = reviewing.findChildren(QFileDialog)
    proposed = Path(chooser.selectedFiles()[0]).name
    assert proposed.startswith("R-07-003-frame-130-0h")
    assert proposed.endswith(".png")
    assert not any(clip.stem in proposed for clip in clips)
    target = tmp_path / proposed
    chooser.fileSelected.emit(str(target))
    chooser.reject()
    qtbot.waitUntil(target.exists, timeout=20_000)
    qtbot.waitUntil(lambda: "who the patient is" in reviewing.message_bar.words, timeout=20_000)
    written = cv2.cvtColor(cv2.imread(str(target)), cv2.COLOR_BGR2RGB)
    assert written.shape == (240, 320, 3)
    assert read_number(written) == 130
    chunks = _png_chunks(target.read_bytes())
    assert chunks <= {b"IHDR", b"IDAT", b"IEND"}


def _png_chunks(data: bytes) -> set[bytes]:
    """Kinds of chunk in a PNG (its layout after ISO/IEC 15948, from memory)."""
    place, kinds = 8, set()
    while place < len(data):
        length = int.from_bytes(data[place : place + 4], "big")
        kinds.add(data[place + 4 : place + 8])
        place += 12 + length
    return kinds


def test_a_still_that_cannot_be_written_gets_its_sentence(
    reviewing: DeskWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    from app.playing.shown import Still

    still = Still(0, 0, np.zeros((4, 4, 3), np.uint8))
    reviewing.still_saver.save(still, tmp_path / "a.jpg")
    qtbot.waitUntil(lambda: ".png" in reviewing.message_bar.words, timeout=20_000)
    assert not list(tmp_path.glob("a.*"))


@pytest.mark.parametrize(
    ("code", "name"),
    [
        ("R-07-003", "R-07-003-frame-9-0h01m14s815.png"),
        ("a/b\\c: d", "a-b-c-d-frame-9-0h01m14s815.png"),
        ("..", "case-frame-9-0h01m14s815.png"),
    ],
)
def test_the_name_of_a_still_is_fit_for_any_disk(code: str, name: str) -> None:
    assert still_name(code, 9, 74_815_000) == name


def test_pictures_written_hold_what_was_given(tmp_path: Path) -> None:
    """Read by Qt, which wrote none of it."""
    rgb = np.random.default_rng(2).integers(0, 256, (20, 30, 3), np.uint8)
    write_png(rgb, tmp_path / "a.png")
    assert np.array_equal(pixels(QImage(str(tmp_path / "a.png"))), rgb)


# Typed places


def typed(desk: DeskWindow, qtbot: QtBot, text: str) -> LineDialog:
    desk.activateWindow()
    qtbot.waitUntil(desk.isActiveWindow, timeout=20_000)
    press(desk, Qt.Key.Key_G, CONTROL)
    dialog = next(d for d in desk.findChildren(LineDialog) if d.isVisible())
    dialog.line.selectAll()
    QTest.keyClicks(dialog.line, text)
    QTest.keyClick(dialog.line, Qt.Key.Key_Return)
    return dialog


def test_a_time_or_a_frame_is_typed_to_go_there(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    typed(reviewing, qtbot, "#131")
    qtbot.waitUntil(lambda: view.picture.shown_number == 131, timeout=20_000)
    shown = view.transport._where.text()
    assert "frame 131" in shown
    typed(reviewing, qtbot, "f 12")
    qtbot.waitUntil(lambda: view.picture.shown_number == 12, timeout=20_000)
    typed(reviewing, qtbot, shown.split(" ")[0])
    qtbot.waitUntil(lambda: view.picture.shown_number == 131, timeout=20_000)


def test_a_typed_place_that_is_none_is_told_and_kept_to_be_mended(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(reviewing)
    dialog = typed(reviewing, qtbot, "#99999")
    assert dialog.isVisible()
    assert "0 to 209" in dialog.trouble.text()
    assert dialog.line.text() == "#99999"
    assert view.player.number == 0
    dialog.reject()


# The transport


def transport_in(room: QWidget, presenter: ReviewPresenter, qtbot: QtBot, width: int) -> Transport:
    """A transport in a room of that width, late in a long case."""
    qtbot.addWidget(room)
    column = QVBoxLayout(room)
    column.setContentsMargins(0, 0, 0, 0)
    transport = Transport(presenter)
    column.addWidget(transport)
    room.setFixedWidth(width)
    room.show()
    transport.show_where(5_025_123_456, 301_234, 600_000)
    transport.show_look(("2.4 × nearer, turned 90°, mirrored, tone changed", "2.4 × 90°"))
    transport.refresh()
    transport.layout().activate()  # type: ignore[union-attr]
    return transport


def shown_parts(transport: Transport) -> list[QWidget]:
    return [w for w in transport.findChildren(QWidget) if w.isVisible() and w.width() > 0]


@pytest.mark.parametrize("width", [328, 420, 560, 700, 974, 1528])
def test_nothing_in_the_transport_overlaps_or_is_cut(
    presenter: ReviewPresenter, qtbot: QtBot, width: int
) -> None:
    room = QWidget()
    transport = transport_in(room, presenter, qtbot, width)
    assert transport.minimumSizeHint().width() <= width
    parts = sorted(shown_parts(transport), key=lambda part: part.x())
    for part in parts:
        assert part.x() >= 0
        assert part.x() + part.width() <= width
    for left, right in pairwise(parts):
        assert left.x() + left.width() <= right.x()
    words = transport._where.text()
    assert words.startswith("1:23:45.123")
    assert words.endswith("frame 301234")
    needed = transport._where.fontMetrics().horizontalAdvance(words)
    assert needed <= transport._where.width()


def test_at_974_pixels_everything_is_there(presenter: ReviewPresenter, qtbot: QtBot) -> None:
    """What is left of a screen of 1366 pixels beside the side column."""
    room = QWidget()
    transport = transport_in(room, presenter, qtbot, 974)
    for name, members in transport._groups.items():
        for member in members:
            assert member.isVisible(), name
    assert " of 2:00:00  frame " in transport._where.text(), "the case's length too"


def test_groups_go_in_their_order() -> None:
    widths = [("a", 50), ("b", 30), ("c", 10)]
    assert groups_shown(widths, 100, 300, ("a", "b", "c")) == {"a", "b", "c"}
    assert groups_shown(widths, 100, 190, ("a", "b", "c")) == {"a", "b"}
    assert groups_shown(widths, 100, 151, ("a", "b", "c")) == frozenset()


def test_the_speed_is_told_honestly() -> None:
    assert pace_words(None, 1.0) == ("", "")
    assert pace_words(Pace(1, Way.EVERY, 1.0, 0), 1.0) == ("", "")
    long, short = pace_words(Pace(1, Way.KEYS, 11.24, 0), 16.0)
    assert "11.2" in long
    assert "11.2" in short
    assert "key pictures" in long
    assert "key pictures" in short


def test_sound_is_turned_by_keys_and_shown(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    view.sound_knob.put(60, is_muted=False)
    press(reviewing, Qt.Key.Key_PageUp)
    assert view.sound_knob.volume == 70
    assert view.transport.sound.slider.value() == 70
    press(reviewing, Qt.Key.Key_PageDown)
    press(reviewing, Qt.Key.Key_N)
    assert view.sound_knob.is_muted
    assert view.player.sound is not None
    assert view.player.sound.out.is_muted
    assert view.player.sound.out.volume == pytest.approx(0.6)
    press(reviewing, Qt.Key.Key_PageUp)
    assert not view.sound_knob.is_muted
    view.sound_knob.tell(tracks=("Sound 1: stereo", "Sound 2: Thai"))
    press(reviewing, Qt.Key.Key_N, SHIFT)
    assert view.sound_knob.track == 1
    assert view.transport.sound.button.menu().actions()[1].isChecked()
    view.sound_knob.tell(why_silent="There is no sound in this part of the recording.")
    assert view.transport.sound.button.text() == "No sound"
    assert "no sound" in view.transport.sound.button.toolTip()


# Names and keys


def test_every_button_of_the_transport_says_its_name_and_its_key(reviewing: DeskWindow) -> None:
    view = view_of(reviewing)
    for action_id, button in view.transport._buttons.items():
        entry = next(a for a in actions() if a.id == action_id)
        assert button.accessibleName()
        assert entry.key
        assert f"({entry.key})" in button.toolTip()
    for name in (*view.look_panel.sliders.values(), *view.look_panel.numbers.values()):
        assert name.accessibleName()


def test_the_page_of_keys_shows_all_of_them_without_scrolling_at_1366_by_768(
    presenter: ReviewPresenter, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    room = QSize(1336, 708)
    monkeypatch.setattr("app.desk.keys_page.room_on_screen", lambda window: room)
    page = KeysPage(presenter.vocabulary)
    qtbot.addWidget(page)
    assert page.sizeHint().width() <= room.width()
    assert page.sizeHint().height() <= room.height()


def test_fields_are_offered_where_there_are_some(reviewing: DeskWindow) -> None:
    assert not reviewing.actions_table["fields"].isEnabled()
    view_of(reviewing).player.is_interlaced = True
    view_of(reviewing).player.facts_changed.emit()
    assert reviewing.actions_table["fields"].isEnabled()
