"""Actions of the window around a review, done from within it."""

from __future__ import annotations

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget


def desk_action(widget: QWidget, action_id: str) -> QAction | None:
    """The window's action of that id; None while a widget stands in no desk."""
    return next((a for a in widget.window().actions() if a.data() == action_id), None)
