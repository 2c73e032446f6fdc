"""Menus and keys of the desk, made from the one table of actions."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMainWindow, QMenu

from app.commands.table import Action, actions
from app.desk.way_on import WayOn

_MENUS = ("Case", "Edit", "Travel", "Picture", "Draw", "View", "Help")


class DeskActions(QObject):
    """Every action of the table as a Qt action of the window.

    Parameters
    ----------
    act : callable
        Called with the id of an action when it is triggered.
    """

    def __init__(self, window: QMainWindow, act: Callable[[str], object]) -> None:
        super().__init__(window)
        self._act = act
        self._by_id: dict[str, QAction] = {}
        self._menus = {(name, ""): window.menuBar().addMenu(name) for name in _MENUS}
        for entry in actions():
            made = QAction(entry.label, window)
            if entry.key:
                made.setShortcut(QKeySequence(entry.key))
            made.setToolTip(entry.help)
            made.setStatusTip(entry.help)
            made.setData(entry.id)
            made.triggered.connect(self._triggered)
            self._menu_of(entry).addAction(made)
            self._by_id[entry.id] = made
        self.way_on = WayOn(self, window.menuBar())

    def _menu_of(self, entry: Action) -> QMenu:
        """The menu or submenu of an action, made with the first that stands in it."""
        menu = self._menus[entry.menu, ""]
        place = (entry.menu, entry.submenu)
        is_first = place not in self._menus
        if entry.begins_group:
            (menu if is_first else self._menus[place]).addSeparator()
        if is_first:
            self._menus[place] = menu.addMenu(entry.submenu)
        return self._menus[place]

    def _triggered(self) -> None:
        sender = self.sender()
        if isinstance(sender, QAction):
            self._act(str(sender.data()))

    def __getitem__(self, action_id: str) -> QAction:
        return self._by_id[action_id]

    def set_screen(self, screen: str) -> None:
        """Let only the actions of this screen, and those of any, work."""
        for entry in actions():
            self._by_id[entry.id].setEnabled(entry.screen in ("any", screen))
        self.way_on.show_over_review(screen == "review")

    def name_undo(self, undo: str | None, redo: str | None) -> None:
        """Say in the menu what undo and redo would do."""
        for action_id, word, kind in (("undo", "Undo", undo), ("redo", "Redo", redo)):
            self._by_id[action_id].setText(f"{word}: {kind}" if kind else word)
            self._by_id[action_id].setEnabled(kind is not None)
