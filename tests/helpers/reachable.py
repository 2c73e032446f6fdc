"""What a person who uses keys or a screen reader finds in a window, and what they miss."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
from desk_driving import pixels
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QAbstractSlider,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QHeaderView,
    QLineEdit,
    QMenu,
    QMenuBar,
    QPlainTextEdit,
    QScrollBar,
    QSplitterHandle,
    QTextEdit,
    QWidget,
)

from app.commands.table import actions

_CONTROLS = (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QTextEdit,
)
_INNER = (QComboBox, QAbstractSpinBox, QAbstractItemView, QLineEdit, QMenuBar, QScrollBar)
"""What lies in these is part of them."""
_KEYS = {entry.key for entry in actions() if entry.key}
_TOLD_KEY = re.compile(r"\bkey \S")
LEAST_PIXELS = 24
LEAST_CONTRAST = 3.0


def controls(window: QWidget) -> Iterator[QWidget]:
    """Every control of a window that is seen and can be used."""
    for widget in window.findChildren(QWidget):
        if widget.window() is window and widget.isVisible() and widget.isEnabled():
            if widget.focusProxy() is not None:
                continue  # another has the keys in its place, and is walked itself
            takes_tab = bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus)
            if (isinstance(widget, _CONTROLS) or takes_tab) and not _is_inner(widget):
                yield widget


def _is_inner(widget: QWidget) -> bool:
    if isinstance(widget, (QScrollBar, QHeaderView, QSplitterHandle, QMenu, QMenuBar)):
        return True
    above = widget.parentWidget()
    while above is not None and not above.isWindow():
        if isinstance(above, _INNER):
            return True
        if isinstance(above, QAbstractScrollArea) and widget is above.viewport():
            return True
        above = above.parentWidget()
    return False


def name_of(widget: QWidget) -> str:
    """What a screen reader calls a widget."""
    found = QAccessible.queryAccessibleInterface(widget)
    return str(found.text(QAccessible.Text.Name)).strip() if found else ""


def has_key(widget: QWidget) -> bool:
    """Whether a key does what a control does, and the control says which."""
    told = f"{widget.toolTip()} {widget.accessibleName()} {widget.accessibleDescription()}"
    plain = told.replace(" + ", "+")
    return bool(_TOLD_KEY.search(told)) or any(
        re.search(rf"(?<![\w+]){re.escape(key)}(?![\w+])", plain) for key in _KEYS
    )


def is_reached(widget: QWidget) -> bool:
    """Whether Tab comes to a control, or a key does what it does."""
    return bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus) or has_key(widget)


def contrast_map(before: np.ndarray, after: np.ndarray) -> np.ndarray:
    """Contrast (WCAG 2.2) of each pixel with itself in another picture."""

    def luminance(image: np.ndarray) -> np.ndarray:
        c = image / 255
        linear = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
        weighted: np.ndarray = linear @ np.array([0.2126, 0.7152, 0.0722])
        return weighted

    a, b = luminance(before), luminance(after)
    ratio: np.ndarray = (np.maximum(a, b) + 0.05) / (np.minimum(a, b) + 0.05)
    return ratio


def shows_focus(widget: QWidget, other: QWidget) -> bool:
    """Whether it is seen that a control has the keys; `other` has them before."""
    other.setFocus(Qt.FocusReason.TabFocusReason)
    before = pixels(widget.grab().toImage())
    widget.setFocus(Qt.FocusReason.TabFocusReason)
    after = pixels(widget.grab().toImage())
    if before.shape != after.shape:
        return True
    changed = int((contrast_map(before, after) >= LEAST_CONTRAST).sum())
    return changed >= LEAST_PIXELS


def missed(window: QWidget, where: str) -> list[str]:
    """What is wrong with the controls of a window, a line each."""
    found: list[str] = []
    seen = list(controls(window))
    for widget in seen:
        name = name_of(widget)
        told = f"{where}: {type(widget).__name__} '{name or widget.objectName()}'"
        parent = widget.parentWidget()
        told += f" in {type(parent).__name__}" if parent else ""
        if not name:
            found.append(f"{told} has no name")
        if not is_reached(widget):
            found.append(f"{told} is not reached by keys")
    takers = [w for w in seen if w.focusPolicy() & Qt.FocusPolicy.TabFocus]
    had = QApplication.focusWidget()
    for widget in takers:
        other = next((w for w in takers if w is not widget and not w.isAncestorOf(widget)), None)
        if other is not None and widget.isVisible() and not shows_focus(widget, other):
            kind = type(widget).__name__
            found.append(f"{where}: {kind} '{name_of(widget)}' does not show that it has the keys")
    if had is not None:
        had.setFocus()
    return found
