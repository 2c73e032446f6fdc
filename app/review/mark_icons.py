"""Signs for tools and looks, painted by the same code as the marks themselves."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QSize
from PySide6.QtGui import QIcon, QImage, QPixmap

from annotate.ids import RowId, SessionId
from annotate.marks import Mark, MarkKind, MarkLook, Point
from app.marks.layout import place_in
from app.marks.paint import painted

TOOL_SIZE = QSize(26, 20)
LOOK_SIZE = QSize(58, 14)
_RATIOS = (1, 2, 3)
"""Of screens; each gets the icon pixel for pixel."""
_CORE_PX = 1.9
_GROUND = (0x6A, 0x62, 0x8A, 0xFF)
"""Of a spotlight's sign: something to be dimmed."""

_POINTS: dict[MarkKind, tuple[Point, ...]] = {
    MarkKind.ARROW: ((0.15, 0.8), (0.82, 0.22)),
    MarkKind.RING: ((0.5, 0.5), (0.78, 0.5)),
    MarkKind.LINE: ((0.12, 0.7), (0.88, 0.3)),
    MarkKind.FREEHAND: tuple(
        (0.12 + 0.038 * i, 0.5 + 0.28 * float(np.sin(i / 2.6))) for i in range(21)
    ),
    MarkKind.TEXT: ((0.1, 0.82),),
    MarkKind.SPOTLIGHT: ((0.5, 0.5), (0.72, 0.5)),
}


def tool_icon(kind: MarkKind) -> QIcon:
    """What a tool draws."""
    mark = _mark(kind, _POINTS[kind], MarkLook.CHALK, "Ab" if kind is MarkKind.TEXT else "")
    return _icon(mark, TOOL_SIZE, kind is MarkKind.SPOTLIGHT)


def look_icon(look: MarkLook) -> QIcon:
    """A line in a look."""
    return _icon(_mark(MarkKind.LINE, ((0.06, 0.5), (0.94, 0.5)), look), LOOK_SIZE)


def mark_icon(mark: Mark) -> QIcon:
    """A mark of the list, by kind and look."""
    words = "Ab" if mark.kind is MarkKind.TEXT else ""
    drawn = _mark(mark.kind, _POINTS[mark.kind], mark.look, words)
    return _icon(drawn, TOOL_SIZE, mark.kind is MarkKind.SPOTLIGHT)


def _mark(kind: MarkKind, points: tuple[Point, ...], look: MarkLook, text: str = "") -> Mark:
    return Mark(RowId("icon"), SessionId("icon"), kind, 0, 1, points, text, look)


def _icon(mark: Mark, size: QSize, is_grounded: bool = False) -> QIcon:
    icon = QIcon()
    for ratio in _RATIOS:
        width, height = size.width() * ratio, size.height() * ratio
        sheet: NDArray[np.uint8] = np.zeros((height, width, 4), np.uint8)
        if is_grounded:
            sheet[:] = _GROUND
        painted(sheet, [mark], 0, place_in(width, height), core=_core(mark.kind) * ratio)
        image = QImage(
            sheet.data, width, height, width * 4, QImage.Format.Format_ARGB32_Premultiplied
        )
        pixmap = QPixmap.fromImage(image.copy())
        pixmap.setDevicePixelRatio(ratio)
        icon.addPixmap(pixmap)
    return icon


def _core(kind: MarkKind) -> float:
    """Words are as high as their stroke says; a sign has room for two letters."""
    return 1.25 if kind is MarkKind.TEXT else _CORE_PX
