"""Menus and keys of the desk, made from the one table of actions."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMainWindow

from app.commands.table import actions

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
        menus = {name: window.menuBar().addMenu(name) for name in _MENUS}
        for entry in actions():
            made = QAction(entry.label, window)
            if entry.key:
                made.setShortcut(QKeySequence(entry.key))
            made.setToolTip(entry.help)
            made.setStatusTip(entry.help)
            made.setData(entry.id)
            made.triggered.connect(self._triggered)
            menus[entry.menu].addAction(made)
            self._by_id[entry.id] = made

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

    def name_undo(self, undo: str | None, redo: str | None) -> None:
        """Say in the menu what undo and redo would do."""
        for action_id, word, kind in (("undo", "Undo", undo), ("redo", "Redo", redo)):
            self._by_id[action_id].setText(f"{word}: {kind}" if kind else word)
            self._by_id[action_id].setEnabled(kind is not None)
