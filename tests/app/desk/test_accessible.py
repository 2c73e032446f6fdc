"""Every control of every screen has a name, is reached by keys, and shows when it has them."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from cramped import cut_off, larger_than
from desk_driving import view_of
from PySide6.QtCore import QPoint, QRect, QSize
from PySide6.QtGui import QScreen
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog, QWidget
from pytestqt.qtbot import QtBot
from reachable import controls, missed

from annotate.tags import Leaning
from app.commands.table import actions
from app.desk.window import DeskWindow
from app.review.view import ReviewView

IN_CASELOAD = (
    "take-in",
    "search",
    "vocabulary",
    "me",
    "keys",
    "ribbon",
    "first-minute",
    "cautions",
)
FILES = ("read-tags", "write-tags", "read-settings", "write-settings", "save-still")
"""These open the system's own dialog of files."""
LEFT_OUT = ("undo", "redo", "remove", "play")
"""These would take away what is chosen, or set the clip going."""
IN_REVIEW = (
    "parts",
    "hand-back",
    "sign",
    "vocabulary",
    "go-to",
    "edit-phrases",
    "begin-with",
    "search",
)


def dialogs(desk: DeskWindow) -> list[QWidget]:
    """Windows that are open beside the desk's."""
    return [
        window
        for window in QApplication.topLevelWidgets()
        if window.isVisible() and window is not desk and isinstance(window, QDialog)
    ]


Look = Callable[[QWidget, str], list[str]]
SCREENS = {"200 % of 1920x1080": QSize(960, 540), "150 % of 1366x768": QSize(911, 512)}
"""What enlarged screens leave, in pixels of before."""


def walked(desk: DeskWindow, action_id: str, qtbot: QtBot, look: Look = missed) -> list[str]:
    """Open what an action opens, and walk it."""
    desk.act(action_id)
    qtbot.waitUntil(lambda: bool(dialogs(desk)), timeout=20_000)
    dialog = dialogs(desk)[0]
    qtbot.waitUntil(dialog.isActiveWindow, timeout=20_000)
    found = [] if isinstance(dialog, QFileDialog) else look(dialog, action_id)
    dialog.close()
    qtbot.waitUntil(lambda: not dialogs(desk))
    return found


def test_the_list_of_cases(desk: DeskWindow, qtbot: QtBot) -> None:
    desk.activateWindow()
    qtbot.waitUntil(desk.isActiveWindow)
    found = missed(desk, "caseload")
    assert not found, "\n".join(found)


def test_review_with_each_leaf(reviewing: DeskWindow, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    qtbot.waitUntil(reviewing.isActiveWindow)
    view.presenter.press_key("1")
    view.presenter.press_key("a")
    found = []
    for leaf in view.side.leaves.ids:
        view.side.leaves.turn_to(leaf)
        found += missed(reviewing, f"leaf {leaf}")
    reviewing.act("look-panel")
    found += missed(reviewing, "look panel")
    reviewing.act("theme")
    found += missed(reviewing, "light")
    reviewing.act("theme")
    found = sorted(set(found))
    assert not found, "\n".join(found)


def test_what_opens_over_the_list(desk: DeskWindow, qtbot: QtBot) -> None:
    found = []
    for action_id in IN_CASELOAD:
        found += walked(desk, action_id, qtbot)
    assert not found, "\n".join(found)


def test_what_opens_over_a_review(reviewing: DeskWindow, qtbot: QtBot) -> None:
    presenter = view_of(reviewing).presenter
    presenter.press_key("1")
    presenter.press_key("a")
    presenter.choose(presenter.markup.tags[0].id)
    found = []
    for action_id in IN_REVIEW:
        found += walked(reviewing, action_id, qtbot)
    assert not found, "\n".join(found)


@pytest.mark.qt_log_ignore("does not support grabbing the keyboard")  # a menu, offscreen
def test_what_opens_within_a_review(reviewing: DeskWindow, qtbot: QtBot) -> None:
    """Panels and lists in the window; and no action opens a dialog that no test here walks."""
    view = view_of(reviewing)
    presenter = view.presenter
    presenter.press_key("1")
    presenter.press_key("a")
    presenter.choose(presenter.markup.tags[0].id)
    qtbot.waitUntil(reviewing.isActiveWindow)
    found = []
    for entry in actions():
        if entry.screen != "review" or entry.id in {*IN_REVIEW, *FILES, *LEFT_OUT}:
            continue
        before = {id(w) for w in controls(reviewing)}
        reviewing.act(entry.id)
        if (menu := QApplication.activePopupWidget()) is not None:
            menu.close()
        if dialogs(reviewing):
            found.append(f"{entry.id} opens a dialog that is not walked")
            dialogs(reviewing)[0].close()
        elif {id(w) for w in controls(reviewing)} - before:
            found += missed(reviewing, entry.id)
        presenter.choose(presenter.markup.tags[0].id)
    found = sorted(set(found))
    assert not found, "\n".join(found)


def test_every_action_has_a_place_in_a_menu(desk: DeskWindow) -> None:
    """What has no key is reached through the menus, which have mnemonics of the system."""
    in_menus = set()
    left = [heading.menu() for heading in desk.menuBar().actions()]
    while left:
        items = left.pop().actions()
        in_menus |= {item.data() for item in items}
        left += [item.menu() for item in items if item.menu() is not None]
    assert {entry.id for entry in actions()} <= in_menus


@pytest.fixture(params=SCREENS)
def room(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> QSize:
    """A screen of that size, as far as the desk can tell."""
    size = SCREENS[request.param]
    monkeypatch.setattr(QScreen, "availableGeometry", lambda _: QRect(0, 0, *size.toTuple()))
    return size


def laid_out_in(desk: DeskWindow, room: QSize, qtbot: QtBot) -> None:
    """Have the desk fill a screen."""
    desk.resize(room)
    qtbot.waitUntil(lambda: desk.size() == room)
    qtbot.waitUntil(desk.isActiveWindow)


def test_the_list_fits_an_enlarged_screen(desk: DeskWindow, room: QSize, qtbot: QtBot) -> None:
    desk.activateWindow()
    laid_out_in(desk, room, qtbot)
    found = cut_off(desk, "caseload")
    for action_id in IN_CASELOAD:
        found += walked(desk, action_id, qtbot, in_room(room))
    assert not found, "\n".join(found)


def test_a_review_fits_an_enlarged_screen(reviewing: DeskWindow, room: QSize, qtbot: QtBot) -> None:
    view = view_of(reviewing)
    laid_out_in(reviewing, room, qtbot)
    found = []
    for state in ("empty", "tagged"):
        for leaf in view.side.leaves.ids:
            view.side.leaves.turn_to(leaf)
            QApplication.sendPostedEvents()
            found += cut_off(reviewing, f"{leaf} {state}")
        fill(view)
    view.side.leaves.turn_to("tag")
    for action_id in ("look-panel", "type-times", "as-pressed", "write-comment", "phrases"):
        reviewing.act(action_id)
        QApplication.sendPostedEvents()
        found += cut_off(reviewing, action_id)
    for action_id in IN_REVIEW:
        view.presenter.choose(view.presenter.markup.tags[0].id)
        found += walked(reviewing, action_id, qtbot, in_room(room))
    assert not found, "\n".join(found)


def fill(view: ReviewView) -> None:
    """A phase, an event, a long comment, machine values beyond what is usual."""
    presenter = view.presenter
    presenter.press_key("5")
    presenter.press_key("a")
    words = "The rim folds as the tip goes under it; lift it first. " * 4
    presenter.keep_comment(words, 0, Leaning.CORRECT)
    presenter.move_playhead(1_000_000)
    values = {"machine": "Phaco unit A", "vacuum_mmhg": 640.0, "power_percent": 90.0}
    view.side.machine.values.begin({**values, "energy_s": 0.5})
    presenter.choose(presenter.markup.tags[0].id)


def in_room(room: QSize) -> Look:
    """A look at a dialog: whether it is on the screen, and all of it on the dialog."""
    return lambda dialog, where: cut_off(dialog, where) + larger_than(dialog, room, where)


def test_at_its_usual_size_the_tag_leaf_needs_no_scrolling(
    reviewing: DeskWindow, qtbot: QtBot
) -> None:
    laid_out_in(reviewing, QSize(1366, 768), qtbot)
    view = view_of(reviewing)
    fill(view)
    bar = view.side.verticalScrollBar()
    qtbot.waitUntil(lambda: bar.maximum() == 0)
    laid_out_in(reviewing, QSize(911, 512), qtbot)
    qtbot.waitUntil(lambda: bar.maximum() > 0)
    view.write_comment()
    box = view.comment_box.text
    seen = view.side.viewport()
    corner = QPoint(0, 0)
    qtbot.waitUntil(lambda: seen.rect().contains(box.rect().translated(box.mapTo(seen, corner))))
