"""What the rows of the list say and show, and the pages that explain it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from desk_scenes import tag_only_case
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QHelpEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QScrollArea, QStyleOptionViewItem, QToolTip
from pytestqt.qtbot import QtBot

from annotate.case import SessionStatus
from annotate.ids import RowId, SessionId, new_id
from annotate.markup import Markup
from annotate.people import Reviewer
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary_file import shipped_vocabulary
from app.caseload.delegates import time_at
from app.caseload.presenter import CaseloadPresenter, status_words
from app.caseload.strip_words import words_at
from app.caseload.table import POSTER, STATUS, STRIP
from app.desk.keys_page import KeysPage
from app.desk.ribbon_page import Example, RibbonExample, RibbonPage, examples
from app.desk.start import make_application
from app.desk.window import DeskWindow
from app.look.palette import PALETTES
from app.look.screen_room import room_on_screen
from app.look.theme import chosen_colour, disabled_colour
from store import Put, SessionLine, Store

S = 1_000_000
VOCABULARY = shipped_vocabulary("phaco-divide-conquer")
LABELS = {term.code: term.label for term in VOCABULARY.terms}


def session_line(reviewer: str, n_tags: int = 3, *, is_signed: bool = False) -> SessionLine:
    status = SessionStatus.SIGNED if is_signed else SessionStatus.DRAFT
    at = datetime(2026, 3, 1, tzinfo=UTC)
    return SessionLine(SessionId(new_id()), reviewer, status, n_tags, 0, at)


def phase(session: SessionId, code: str = "sculpt", start_s: int = 10, end_s: int = 20) -> Tag:
    return Tag(RowId(new_id()), session, TagKind.PHASE, code, start_s * S, end_s * S)


@pytest.mark.parametrize(
    ("sessions", "said"),
    [
        ([], "not yet reviewed"),
        ([session_line("A-01", 0)], "not yet reviewed"),
        ([session_line("A-01")], "your draft"),
        ([session_line("R-07"), session_line("A-01", is_signed=True)],
         "signed by you; R-07 in draft"),
        ([session_line("A-02", is_signed=True)], "A-02 signed"),
        ([session_line("A-02", is_signed=True), session_line("A-01", 0)], "A-02 signed"),
        ([session_line("A-01", 0, is_signed=True)], "signed by you"),
        ([session_line(f"B-{n}") for n in range(4)], "B-0 in draft; B-1 in draft; 2 more"),
    ],
)  # fmt: skip
def test_the_status_says_ones_own_review_first(sessions: list[SessionLine], said: str) -> None:
    assert status_words(sessions, "A-01") == said


def test_a_row_shows_ones_own_strip_and_what_it_holds(store: Store) -> None:
    case = store.case("R-07-003")
    mine = store.start_session(case.id, Reviewer("A-01"))
    store.edit(mine.id, "tag", "A-01", Put(phase(mine.id)))
    other = store.start_session(case.id, Reviewer("R-07"))
    store.edit(other.id, "tag", "R-07", Put(phase(other.id)), Put(phase(other.id, "chop", 30, 40)))
    presenter = CaseloadPresenter(store, "A-01")
    presenter.look_again()
    (line,) = presenter.lines
    assert line.status == "your draft; R-07 in draft"
    assert line.session is not None
    assert (line.session.id, line.session.n_tags) == (mine.id, 1)
    assert len(presenter.strip(line).markup.tags) == 1
    assert presenter.fresh_case == ""


def test_a_case_that_was_merely_opened_is_not_in_review(desk: DeskWindow, qtbot: QtBot) -> None:
    desk.open_case("R-07-003")
    desk.show_caseload()
    index = desk.caseload.filter.index(0, STATUS)
    assert index.data() == "not yet reviewed"


def test_a_new_code_of_ones_own_changes_whose_reviews_are_ones_own(
    desk: DeskWindow, store: Store
) -> None:
    case = store.case("R-07-003")
    session = store.start_session(case.id, Reviewer("A-02"))
    store.edit(session.id, "tag", "A-02", Put(phase(session.id)))
    from dataclasses import replace

    desk.show_caseload()
    assert desk.caseload.filter.index(0, STATUS).data().startswith("A-02 in draft\n1 tag, 0 comm")
    desk.keep_settings(replace(desk.settings, reviewer="A-02"))
    desk.show_caseload()
    assert desk.caseload.filter.index(0, STATUS).data().startswith("your draft\n")


def test_no_arrow_stands_in_the_header_until_one_is_clicked(desk: DeskWindow) -> None:
    header = desk.caseload.table.horizontalHeader()
    assert not header.isSortIndicatorShown()
    place = QPoint(header.sectionViewportPosition(STATUS) + 10, header.height() // 2)
    QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert header.isSortIndicatorShown()


def test_tab_goes_from_the_search_to_the_list(desk: DeskWindow, qtbot: QtBot) -> None:
    desk.activateWindow()
    desk.caseload.search.setFocus()
    QTest.keyClick(desk.caseload.search, Qt.Key.Key_Tab)
    assert desk.focusWidget() is desk.caseload.table


@pytest.mark.parametrize("theme", ["dark", "light"])
def test_the_chosen_row_has_a_bar_and_its_picture_keeps_its_colours(
    desk: DeskWindow, qtbot: QtBot, theme: str
) -> None:
    if desk.settings.theme != theme:
        desk.change_theme()
    desk.show_caseload()
    qtbot.waitUntil(lambda: bool(desk.caseload.model.posters), timeout=30_000)
    table = desk.caseload.table
    table.selectRow(0)
    cell = table.visualRect(desk.caseload.filter.index(0, POSTER))
    image = table.viewport().grab().toImage()
    palette = PALETTES[theme]
    assert image.pixelColor(cell.left() + 1, cell.center().y()) == QColor(palette.accent)
    assert image.pixelColor(cell.left() + 4, cell.top() + 1) == QColor(chosen_colour(palette))
    (poster,) = desk.caseload.model.posters.values()
    size = poster.deviceIndependentSize()
    centre = poster.toImage().pixelColor(round(size.width() / 2), round(size.height() / 2))
    room = cell.adjusted(6, 0, -3, 0)
    found = [
        image.pixelColor(room.center().x() + dx, room.center().y() + dy)
        for dx in (-1, 0, 1)
        for dy in (-1, 0, 1)
    ]
    assert centre in found
    make_application("dark")


def test_the_words_of_a_moment_name_phase_event_idle_and_remark() -> None:
    session = SessionId("s")
    tags = (
        phase(session),
        Tag(RowId("e"), session, TagKind.EVENT, "good-move", 12 * S, None, Leaning.COMMEND, 1),
        Tag(RowId("i"), session, TagKind.IDLE, "wait", 14 * S, 16 * S),
        Tag(RowId("h"), session, TagKind.HAND_OVER, "attending", 15 * S, 18 * S),
    )
    markup = Markup(tags=tags, comments=(Comment(RowId("c"), session, "well held", 12 * S),))
    assert words_at(markup, LABELS, 12 * S, S).splitlines() == [
        "0:12", "Sculpting, 0:10 to 0:20", "Good move, at 0:12", "“well held”",
    ]  # fmt: skip
    assert words_at(markup, LABELS, 15 * S, 1).splitlines() == [
        "0:15", "Sculpting, 0:10 to 0:20", "idle: Waiting, 0:14 to 0:16",
        "attending operates, 0:15 to 0:18",
    ]  # fmt: skip
    assert words_at(markup, LABELS, 30 * S, 1) == "0:30  nothing tagged"


@pytest.mark.parametrize(("x", "time_s"), [(-5, 0), (2, 0), (52, 50), (102, 100), (300, 100)])
def test_a_place_on_the_strip_is_a_time(x: float, time_s: int) -> None:
    assert time_at(x, 104, 100 * S) == time_s * S


@pytest.fixture
def tagged(desk: DeskWindow, store: Store) -> Iterator[DeskWindow]:
    case = store.take_in(tag_only_case("R-09-001"), "A-01")
    session = store.start_session(case.id, Reviewer("A-01"))
    store.edit(session.id, "tag", "A-01", Put(phase(session.id, "sculpt", 0, 50)))
    desk.show_caseload()
    yield desk
    QToolTip.hideText()


@pytest.mark.qt_log_ignore("This plugin does not support raise", extend=True)  # offscreen's
def test_the_tooltip_of_a_strip_says_what_is_under_the_pointer(tagged: DeskWindow) -> None:
    table = tagged.caseload.table
    row = next(
        r
        for r in range(tagged.caseload.filter.rowCount())
        if tagged.caseload.filter.index(r, 1).data() == "R-09-001"
    )
    index = tagged.caseload.filter.index(row, STRIP)
    cell = table.visualRect(index)
    option = QStyleOptionViewItem()
    option.rect = cell
    place = QPoint(cell.left() + cell.width() // 4, cell.center().y())
    event = QHelpEvent(QHelpEvent.Type.ToolTip, place, table.viewport().mapToGlobal(place))
    assert table.itemDelegateForColumn(STRIP).helpEvent(event, table, option, index)
    assert "Sculpting, 0:00 to 0:50" in QToolTip.text()


def test_the_legend_draws_every_sign_with_words(desk: DeskWindow, qtbot: QtBot) -> None:
    desk.act("ribbon")
    (page,) = desk.findChildren(RibbonPage)
    drawn = page.findChildren(RibbonExample)
    assert len(drawn) == len(examples(VOCABULARY)) == 12
    ground = QColor(PALETTES["dark"].ground)
    for example in drawn[:-1]:
        image = example.grab().toImage()
        colours = {image.pixelColor(x, y).name() for x in range(4, 200, 3) for y in range(2, 48, 3)}
        assert len(colours - {ground.name()}) >= 2
    page.close()


def test_the_legend_shows_holes_joins_and_what_was_watched(desk: DeskWindow) -> None:
    """Their words tell them apart, and each paints something that the bare ribbon does not have."""
    signs = {e.words: e for e in examples(VOCABULARY)}
    hole = next(e for words, e in signs.items() if "nothing was recorded" in words)
    join = next(e for words, e in signs.items() if "is a join" in words)
    watched = next(e for words, e in signs.items() if "what was watched" in words)
    bare = RibbonExample(Example("bare", hole.markup), VOCABULARY, desk).grab().toImage()
    for example in (hole, join, watched):
        shown = RibbonExample(example, VOCABULARY, desk).grab().toImage()
        assert shown != bare, example.words
    assert [is_to_see for _, is_to_see in join.joins_us] == [False, True]


@pytest.mark.parametrize("name", ["keys", "cautions", "ribbon", "first-minute", "me", "take-in"])
def test_no_dialog_is_larger_than_the_screen_has_room_for(
    desk: DeskWindow, qtbot: QtBot, name: str
) -> None:
    desk.act(name)
    qtbot.waitUntil(lambda: QApplication.activeModalWidget() is not None)
    dialog = QApplication.activeModalWidget()
    assert dialog is not None
    room = room_on_screen(dialog)
    assert dialog.width() <= room.width()
    assert dialog.height() <= room.height()
    buttons = [b for b in dialog.findChildren(QPushButton) if b.isVisible()]
    assert any(dialog.rect().contains(b.mapTo(dialog, b.rect().bottomRight())) for b in buttons)
    dialog.close()


def test_the_page_of_keys_keeps_close_in_sight_on_a_small_screen(
    desk: DeskWindow, qtbot: QtBot
) -> None:
    page = KeysPage(VOCABULARY, desk)
    page.show()
    page.resize(700, 420)
    assert page.size().width() <= 700
    close = next(b for b in page.findChildren(QPushButton) if "Close" in b.text().replace("&", ""))
    assert page.rect().contains(close.geometry().translated(close.parentWidget().pos()))
    (area,) = (each for each in page.findChildren(QScrollArea) if each.isVisible())
    assert area.verticalScrollBar().maximum() > 0
    page.close()


def test_the_window_fits_a_screen_that_is_enlarged_twice(desk: DeskWindow, qtbot: QtBot) -> None:
    desk.resize(940, 480)
    assert (desk.width(), desk.height()) == (940, 480)
    desk.open_case("R-07-003")
    desk.message_bar.say_trouble("something long " * 40)
    qtbot.waitUntil(lambda: desk.message_bar.height() > 10)
    desk.resize(940, 480)
    assert (desk.width(), desk.height()) == (940, 480)


@pytest.mark.parametrize("name", ["dark", "light"])
def test_what_is_disabled_can_still_be_read(name: str) -> None:
    """Contrast of at least 3:1 (WCAG 2.2, relative luminance)."""
    palette = PALETTES[name]

    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    def contrast(a: str, b: str) -> float:
        low, high = sorted((luminance(a), luminance(b)))
        return (high + 0.05) / (low + 0.05)

    for ground in (palette.ground, palette.raised, palette.sunken):
        assert contrast(disabled_colour(palette), ground) >= 3
        assert contrast(palette.text, ground) > 1.5 * contrast(disabled_colour(palette), ground)
    assert contrast(palette.text, chosen_colour(palette)) >= 7
    assert contrast(palette.accent, chosen_colour(palette)) >= 3


def test_a_default_button_that_is_disabled_is_not_filled(desk: DeskWindow, tmp_path: Path) -> None:
    button = desk.caseload.open_button
    accent = QColor(PALETTES["dark"].accent)
    place = QPoint(5, button.height() // 2)
    assert button.grab().toImage().pixelColor(place) == accent
    button.setEnabled(False)
    assert button.grab().toImage().pixelColor(place) == QColor(PALETTES["dark"].ground)
