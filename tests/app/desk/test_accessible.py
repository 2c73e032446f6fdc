"""Every control of every screen has a name, is reached by keys, and shows when it has them."""

from __future__ import annotations

import pytest
from desk_driving import view_of
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog, QWidget
from pytestqt.qtbot import QtBot
from reachable import controls, missed

from app.commands.table import actions
from app.desk.window import DeskWindow

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
    "parts", "hand-back", "sign", "vocabulary", "go-to", "edit-phrases", "begin-with", "search",
)  # fmt: skip


def dialogs(desk: DeskWindow) -> list[QWidget]:
    """Windows that are open beside the desk's."""
    return [
        window
        for window in QApplication.topLevelWidgets()
        if window.isVisible() and window is not desk and isinstance(window, QDialog)
    ]


def walked(desk: DeskWindow, action_id: str, qtbot: QtBot) -> list[str]:
    """Open what an action opens, and walk it."""
    desk.act(action_id)
    qtbot.waitUntil(lambda: bool(dialogs(desk)), timeout=20_000)
    dialog = dialogs(desk)[0]
    qtbot.waitUntil(dialog.isActiveWindow, timeout=20_000)
    found = [] if isinstance(dialog, QFileDialog) else missed(dialog, action_id)
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
    in_menus = {item.data() for menu in desk.menuBar().actions() for item in menu.menu().actions()}
    assert {entry.id for entry in actions()} <= in_menus
