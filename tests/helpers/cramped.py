"""What does not fit its window: cut, squeezed, lying over its neighbour, out of reach."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import Qt as GuiQt
from PySide6.QtGui import QTextDocument
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QComboBox,
    QLabel,
    QLineEdit,
    QScrollArea,
    QWidget,
)
from reachable import controls

ALLOWED_PX = 1
"""Rounding of a fraction of a pixel."""
_LEAST_ROWS_PX = 32
"""A list is no list where not even a row and its edges are seen."""


def cut_off(window: QWidget, where: str) -> list[str]:
    """What of a window is not there to be seen or read, a line each."""
    seen = list(controls(window))
    labels = [
        label
        for label in window.findChildren(QLabel)
        if label.isVisible() and label.window() is window and label.text() and not _is_in(label)
    ]
    found = [f"{told(w)} {fault}" for w in (*seen, *labels) for fault in _cut(w)]
    found += [f"{told(w)} {fault}" for w in seen for fault in _squeezed(w)]
    found += [f"{told(w)} {fault}" for w in labels for fault in _unread(w)]
    found += [f"{told(a)} lies over {told(b)}" for a, b in combinations(seen, 2) if _overlap(a, b)]
    return [f"{where}: {line}" for line in found]


def larger_than(window: QWidget, room: QSize, where: str) -> list[str]:
    """Whether a window is larger than the screen it is on."""
    if window.width() <= room.width() and window.height() <= room.height():
        return []
    return [f"{where}: {window.width()} x {window.height()}, the screen is {room.toTuple()}"]


def told(widget: QWidget) -> str:
    """Which widget it is."""
    words = getattr(widget, "text", None)
    text = widget.accessibleName() or (str(words())[:40] if callable(words) else "")
    parent = widget.parentWidget()
    return f"{type(widget).__name__} '{text}' in {type(parent).__name__}"


def _is_in(label: QLabel) -> bool:
    """Whether a label is a part of an item view or of a spin box."""
    above = label.parentWidget()
    while above is not None and not above.isWindow():
        if isinstance(above, QAbstractItemView):
            return True
        above = above.parentWidget()
    return False


def _cut(widget: QWidget) -> Iterator[str]:
    """Where a widget is cut by what holds it; what can be scrolled to is not."""
    rect = widget.rect()
    child, above = widget, widget.parentWidget()
    while above is not None:
        rect.translate(child.pos())
        room = above.rect()
        scrolled = above.parentWidget()
        if isinstance(scrolled, QScrollArea) and above is scrolled.viewport():
            off = Qt.ScrollBarPolicy.ScrollBarAlwaysOff
            if scrolled.horizontalScrollBarPolicy() == off and not _within(rect, room, across=True):
                yield f"is cut at the side: {_span(rect)} in {_span(room)}"
            return
        if isinstance(scrolled, QAbstractScrollArea) and above is scrolled.viewport():
            return
        if not _within(rect, room):
            yield f"is cut by {type(above).__name__}: {_span(rect)} in {_span(room)}"
            return
        child, above = above, None if above.isWindow() else above.parentWidget()


def _squeezed(widget: QWidget) -> Iterator[str]:
    """Where a control is smaller than it can be."""
    least = widget.minimumSizeHint()
    if isinstance(widget, QAbstractButton | QLineEdit | QComboBox):
        least.setHeight(widget.sizeHint().height())
    least = least.boundedTo(widget.maximumSize())
    if isinstance(widget, QAbstractItemView):
        least = QSize(0, min(_LEAST_ROWS_PX, widget.maximumHeight()))
    elif isinstance(widget, QAbstractButton) and widget.text() and widget.toolTip():
        least.setWidth(0)  # its words are told in full by the tool tip
    if widget.width() + ALLOWED_PX < least.width() or widget.height() + ALLOWED_PX < least.height():
        yield f"is squeezed: {widget.size().toTuple()} of {least.toTuple()}"


def _within(rect: QRect, room: QRect, *, across: bool = False) -> bool:
    grown = room.adjusted(-ALLOWED_PX, -ALLOWED_PX, ALLOWED_PX, ALLOWED_PX)
    if across:
        return grown.left() <= rect.left() and rect.right() <= grown.right()
    return grown.contains(rect)


def _span(rect: QRect) -> str:
    return f"{rect.left()},{rect.top()} to {rect.right()},{rect.bottom()}"


def _unread(label: QLabel) -> Iterator[str]:
    """Where the words of a label need more room than it has."""
    room = label.contentsRect().size() + QSize(ALLOWED_PX, ALLOWED_PX)
    if label.wordWrap():
        needed = label.heightForWidth(label.width())
        if needed > label.height() + ALLOWED_PX:
            yield f"shows {label.height()} of the {needed} px of its lines"
        return
    width = _text_width(label)
    if width > room.width() and not label.toolTip():
        yield f"shows {room.width()} of the {width} px of its words, and has no tool tip"


def _text_width(label: QLabel) -> int:
    if not GuiQt.mightBeRichText(label.text()):
        lines = label.text().split("\n")
        return max(label.fontMetrics().horizontalAdvance(line.replace("&", "")) for line in lines)
    page = QTextDocument()
    page.setDefaultFont(label.font())
    page.setDocumentMargin(0)
    page.setHtml(label.text())
    return int(page.idealWidth())


def _overlap(a: QWidget, b: QWidget) -> bool:
    """Whether two controls of one layout lie over each other."""
    parent = a.parentWidget()
    layout = parent.layout() if parent is not None and parent is b.parentWidget() else None
    if layout is None or layout.indexOf(a) < 0 or layout.indexOf(b) < 0:
        return False  # what lies over something on purpose is in no layout
    common = a.geometry().intersected(b.geometry())
    return common.width() > ALLOWED_PX and common.height() > ALLOWED_PX
