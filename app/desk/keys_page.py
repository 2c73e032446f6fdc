"""The page of keys: one sheet drawn as a keyboard, one with the rest of the keys in words."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from annotate.tags import Leaning
from annotate.vocabulary import EventTerm, PhaseTerm, Vocabulary
from app.commands.table import actions
from app.look.palette import PhaseStyle, phase_styles
from app.look.screen_room import ScrolledBody, keep_on_screen, room_on_screen
from app.look.theme import current_palette
from app.review.pad_button import paint_leaning, paint_swatch
from app.review.tag_pad import grave_codes
from app.strip.layout import leaning_colour

_ROWS = ("1234567890", "qwertyuiop", "asdfghjkl", "zxcvbnm")
_KEY_PX = 94
_SMALLEST_KEY_PX = 76
_SMALLEST_FONT_PX = 9
_N_ACROSS = 10.4
_KEY_HEIGHT_PX = 79
_SWATCH_PX = 13
_GAP_PX = 5
_COLUMNS = 4
_WIDE_PX = 1240
"""From this width of the screen on the table has all its columns."""
_SHIFTS = (0.0, 0.35, 0.6, 0.95)


def _is_on_a_cap(key: str) -> bool:
    """Whether a key is a letter, alone or with Shift, and so is drawn on the keyboard."""
    letter = key.removeprefix("Shift+")
    return len(letter) == 1 and letter.isalpha()


class KeyboardPicture(QWidget):
    """Keys with the words they stand for: plain below, with shift above."""

    def __init__(self, vocabulary: Vocabulary | None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words: dict[str, str] = {}
        self._styles: dict[str, PhaseStyle] = {}
        self._grave: dict[str, Leaning] = {}
        if vocabulary is not None:
            styles = phase_styles(vocabulary.phase_codes)
            grave = grave_codes(vocabulary.events)
            for term in vocabulary.terms_to_tag:
                self._words[term.key] = term.label
                if isinstance(term, PhaseTerm):
                    self._styles[term.key] = styles[term.code]
                elif isinstance(term, EventTerm) and term.code in grave:
                    self._grave[term.key] = term.leaning
        for entry in actions():
            if _is_on_a_cap(entry.key):
                letter = entry.key[-1]
                is_shifted = len(entry.key) > 1
                self._words[letter if is_shifted else letter.lower()] = entry.label
        self.setAccessibleName("Keyboard")
        self.setAccessibleDescription(
            ", ".join(f"{key}: {word}" for key, word in sorted(self._words.items()))
        )

    def sizeHint(self) -> QSize:
        width = round(_N_ACROSS * (_KEY_PX + _GAP_PX))
        return QSize(width, 4 * (_KEY_HEIGHT_PX + _GAP_PX) + 8)

    def minimumSizeHint(self) -> QSize:
        return QSize(round(_N_ACROSS * (_SMALLEST_KEY_PX + _GAP_PX)), self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        key_px = min(self.width() / _N_ACROSS - _GAP_PX, _KEY_PX)
        for row, keys in enumerate(_ROWS):
            x = _SHIFTS[row] * key_px + 2
            y = row * (_KEY_HEIGHT_PX + _GAP_PX) + 2
            for key in keys:
                self._paint_key(painter, QRectF(x, y, key_px, _KEY_HEIGHT_PX), key)
                x += key_px + _GAP_PX

    def _paint_key(self, painter: QPainter, cap: QRectF, key: str) -> None:
        palette = current_palette()
        is_used = key in self._words or (key.upper() in self._words and key.isalpha())
        painter.setPen(QPen(QColor(palette.quiet if is_used else palette.line), 1))
        painter.setBrush(QColor(palette.raised if is_used else palette.ground))
        painter.drawRoundedRect(cap, 5, 5)
        style = self._styles.get(key)
        if style is not None:
            spot = QRectF(cap.right() - _SWATCH_PX - 5, cap.y() + 4, _SWATCH_PX, _SWATCH_PX)
            paint_swatch(painter, style, spot, palette)
        for said, y in ((key, cap.y() + 4), (key.upper(), cap.bottom() - 4 - _SWATCH_PX)):
            leaning = self._grave.get(said)
            if leaning is not None:
                inks = leaning_colour(palette, leaning), palette.raised
                painter.setFont(self._sign_font())
                spot = QRectF(cap.right() - 17, y, 12, _SWATCH_PX)
                paint_leaning(painter, leaning, spot, inks, is_grave=True)
        self._paint_words(painter, cap, key)

    def _paint_words(self, painter: QPainter, cap: QRectF, key: str) -> None:
        """The key's letter above, its word in the middle, its word with Shift below."""
        palette = current_palette()
        shifted = self._words.get(key.upper(), "") if key.isalpha() else ""
        wrapped = Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap
        for text, colour, size_px, area, flags in (
            (key.upper(), palette.quiet, 11, cap.adjusted(5, 3, -5, 0), wrapped),
            (self._words.get(key, ""), palette.text, 12, cap.adjusted(5, 17, -3, 0), wrapped),
            (
                f"⇧\N{NO-BREAK SPACE}{shifted}" if shifted else "",
                palette.quiet,
                10,
                cap.adjusted(5, 0, -3, -7),
                wrapped | Qt.AlignmentFlag.AlignBottom,
            ),
        ):
            painter.setFont(self._fitted(text, size_px, area.width()))
            painter.setPen(QColor(colour))
            painter.drawText(area, int(flags), text)

    def _sign_font(self) -> QFont:
        font = QFont(self.font())
        font.setPixelSize(12)
        return font

    def _fitted(self, text: str, size_px: int, width: float) -> QFont:
        """The font at that size, or as much smaller as the longest word needs."""
        font = QFont(self.font())
        longest = max(text.split(" "), key=len, default="")
        for size in range(size_px, _SMALLEST_FONT_PX - 1, -1):
            font.setPixelSize(size)
            if QFontMetricsF(font).horizontalAdvance(longest) <= width:
                break
        return font


class KeysPage(QDialog):
    """What each key does."""

    def __init__(self, vocabulary: Vocabulary | None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keys")
        intro = QLabel(
            "Tagging lies under the left hand; the arrows travel. A boxed sign: the gravest events."
            + (f"  Words of: {vocabulary.title}." if vocabulary else "")
        )
        rest = [entry for entry in actions() if entry.key and not _is_on_a_cap(entry.key)]
        across = _COLUMNS if room_on_screen(self).width() >= _WIDE_PX else _COLUMNS - 1
        deep = -(-len(rest) // across)
        rows = "".join(
            "<tr>"
            + "".join(
                f"<td style='padding-right:7px'><b>{entry.key.replace('+', ' + ')}</b></td>"
                f"<td style='padding-right:16px'>{entry.label}</td>"
                for entry in rest[i::deep]
            )
            + "</tr>"
            for i in range(deep)
        )
        table = QLabel(f"<table style='font-size: 12px'>{rows}</table>")
        table.setTextFormat(Qt.TextFormat.RichText)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        table.setAlignment(Qt.AlignmentFlag.AlignTop)
        sheets = QTabWidget()
        sheets.setAccessibleName("Sheets of keys")
        sheets.addTab(_sheet(intro, KeyboardPicture(vocabulary)), "One key")
        sheets.addTab(_sheet(table), "Keys with Ctrl and Alt, and all others")
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 10, 12, 12)
        column.addWidget(sheets, 1)
        column.addWidget(buttons)
        self.resize(self.sizeHint())
        keep_on_screen(self)


def _sheet(*parts: QWidget) -> ScrolledBody:
    """One below the other; scrolled only where the screen is very low."""
    body = QWidget()
    page = QVBoxLayout(body)
    page.setContentsMargins(6, 6, 6, 4)
    page.setSpacing(8)
    for part in parts:
        page.addWidget(part)
    page.addStretch(1)
    return ScrolledBody(body)
