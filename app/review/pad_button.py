"""One word of the tag pad: its key, its look, what it adds up to; boxed where it is grave."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy

from annotate.tags import Leaning
from annotate.vocabulary import EventTerm, Term
from app.look.palette import Palette, PhaseStyle
from app.look.theme import current_palette
from app.strip.hatching import hatch_shapes
from app.strip.layout import leaning_colour
from app.strip.paint_qt import colour, paint_shapes
from app.strip.shapes import Box

ROOMY_PX, DENSE_PX = 21, 18
"""Height of a row where there is room, and where the screen is low."""
_SIGNS = {Leaning.COMMEND: "▲", Leaning.CORRECT: "▼", Leaning.NEUTRAL: "◆"}
_GRAVE_WORDS = "weighs heavily"
_KEY_PX = 20
_SWATCH_PX = 13
_WORDS_PX = 12


class PadButton(QAbstractButton):
    """One word: key cap, swatch or sign, label, and a figure at the right.

    Parameters
    ----------
    is_grave : bool
        Of the events that weigh most: its sign is boxed.
    """

    def __init__(self, term: Term, style: PhaseStyle | None, *, is_grave: bool = False) -> None:
        super().__init__()
        self.term = term
        self.is_grave = is_grave
        self.row_px = ROOMY_PX
        self._style = style
        self._figure = ""
        self._is_running = False
        good = getattr(term, "good", "")
        weighs = f", {_GRAVE_WORDS}" if is_grave else ""
        self.setAccessibleName(f"{term.label}, key {term.key}{weighs}")
        self.setToolTip(f"{term.label} ({key_words(term.key)}){weighs}\n{good}".strip())
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # each has its key
        font = QFont(self.font())
        font.setPixelSize(_WORDS_PX)
        self.setFont(font)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_figure(self, figure: str) -> None:
        """Show what this word adds up to."""
        if figure != self._figure:
            self._figure = figure
            self._describe()

    def show_running(self, is_running: bool) -> None:
        """Show whether this one runs now."""
        if is_running != self._is_running:
            self._is_running = is_running
            self._describe()

    def _describe(self) -> None:
        self.setAccessibleDescription(f"{self._figure}{', running' if self._is_running else ''}")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(100, max(self.fontMetrics().height() + 2, self.row_px))

    def minimumSizeHint(self) -> QSize:
        return QSize(0, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        palette = current_palette()
        area = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        ground = palette.accent if self._is_running else palette.raised
        words = palette.on_accent if self._is_running else palette.text
        is_lit = self.hasFocus() or self.underMouse() or self.isDown()
        painter.setPen(QPen(QColor(palette.accent if is_lit else palette.line), 1))
        painter.setBrush(QColor(ground))
        painter.drawRoundedRect(area, 3, 3)
        self._paint_key(painter, area)
        left = area.x() + _KEY_PX + 7
        left += self._paint_sign(painter, left, area)
        right = self._paint_figure(painter, area, words)
        painter.setPen(QColor(words if self.isEnabled() else palette.quiet))
        room = QRectF(left, area.y(), right - left - 2, area.height())
        if painter.fontMetrics().horizontalAdvance(self.term.label) > room.width():
            painter.setFont(_small(painter.font()))
        text = painter.fontMetrics().elidedText(
            self.term.label, Qt.TextElideMode.ElideRight, int(room.width())
        )
        painter.drawText(room, int(Qt.AlignmentFlag.AlignVCenter), text)

    def _paint_key(self, painter: QPainter, area: QRectF) -> None:
        palette = current_palette()
        cap = QRectF(area.x() + 2, area.y() + 2, _KEY_PX, area.height() - 4)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(palette.sunken))
        painter.drawRoundedRect(cap, 3, 3)
        painter.setPen(QColor(palette.text))
        font = QFont(self.font())
        font.setBold(True)
        font.setPixelSize(11)
        painter.setFont(font)
        painter.drawText(cap, int(Qt.AlignmentFlag.AlignCenter), key_cap(self.term.key))
        painter.setFont(self.font())

    def _paint_sign(self, painter: QPainter, left: float, area: QRectF) -> float:
        palette = current_palette()
        if self._style is not None:
            spot = QRectF(left, area.y() + 4, _SWATCH_PX, area.height() - 8)
            paint_swatch(painter, self._style, spot, palette)
            return _SWATCH_PX + 5
        if isinstance(self.term, EventTerm):
            self._paint_leaning(
                painter, self.term.leaning, QRectF(left, area.y(), 12, area.height())
            )
            return 16
        return 2

    def _paint_leaning(self, painter: QPainter, leaning: Leaning, spot: QRectF) -> None:
        palette = current_palette()
        ground = palette.accent if self._is_running else palette.raised
        ink = palette.on_accent if self._is_running else leaning_colour(palette, leaning)
        paint_leaning(painter, leaning, spot, (ink, ground), is_grave=self.is_grave)

    def _paint_figure(self, painter: QPainter, area: QRectF, words: str) -> float:
        if not self._figure:
            return area.right()
        palette = current_palette()
        painter.setPen(QColor(words if self._is_running else palette.quiet))
        width = painter.fontMetrics().horizontalAdvance(self._figure) + 6
        room = QRectF(area.right() - width, area.y(), width - 4, area.height())
        flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
        painter.drawText(room, int(flags), self._figure)
        return area.right() - width + 2


def _small(font: QFont) -> QFont:
    made = QFont(font)
    made.setPixelSize(_WORDS_PX - 1)
    return made


def paint_swatch(painter: QPainter, style: PhaseStyle, spot: QRectF, palette: Palette) -> None:
    """A phase's hue with its hatch."""
    box = Box(spot.x(), spot.y(), spot.width(), spot.height(), "")
    painter.fillRect(spot, colour(palette.hues[style.hue]))
    paint_shapes(painter, hatch_shapes(box, style.hatch, palette.ink, pitch=5.0))


def paint_leaning(
    painter: QPainter, leaning: Leaning, spot: QRectF, inks: tuple[str, str], *, is_grave: bool
) -> None:
    """An event's sign in the first ink; boxed, in the second ink, where it is grave."""
    ink, ground = inks
    if is_grave:
        box = QRectF(spot.x() - 1, spot.center().y() - 7, 14, 14)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(ink))
        painter.drawRoundedRect(box, 2, 2)
        ink = ground
    painter.setPen(QColor(ink))
    painter.drawText(spot, int(Qt.AlignmentFlag.AlignCenter), _SIGNS[leaning])


def key_cap(key: str) -> str:
    """How a key looks on a cap: a capital letter stands for shift and the key."""
    return f"⇧{key}" if key.isupper() else key.upper()


def key_words(key: str) -> str:
    """How a key is said."""
    return f"Shift and {key}" if key.isupper() else f"key {key.upper()}"
