"""The list's model: 5,000 rows without a widget each; words are made for what is in sight."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PySide6.QtCore import (
    QAbstractTableModel,
    QItemSelection,
    QModelIndex,
    QPersistentModelIndex,
    QRectF,
    Qt,
)
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QWidget

from annotate.ids import RowId
from annotate.tags import Tag, TagKind
from app.look.palette import phase_styles
from app.look.theme import current_palette
from app.review.presenter import ReviewPresenter
from app.review.row_lines import ListedRow, long_words, what_words
from app.review.wording import tenths
from app.strip.hatching import hatch_shapes
from app.strip.paint_qt import colour, paint_shapes
from app.strip.shapes import Box

Index = QModelIndex | QPersistentModelIndex
TIME, WHAT, LONG = range(3)
_SWATCH_PX = 12
_ROLE = Qt.ItemDataRole


class RowModel(QAbstractTableModel):
    """Time, what it is, how long it lasts."""

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self.rows: list[ListedRow] = []
        self._places: dict[RowId, int] = {}
        self._icons: dict[tuple[str, str], QIcon] = {}
        self._styles = phase_styles(presenter.vocabulary.phase_codes)

    def take(self, rows: Sequence[ListedRow]) -> None:
        """List these rows."""
        self.beginResetModel()
        self.rows = list(rows)
        self._places = {row.id: place for place, row in enumerate(self.rows)}
        self.endResetModel()

    def place(self, row_id: RowId | None) -> int | None:
        """In which line a row stands; None where it is not listed."""
        return None if row_id is None else self._places.get(row_id)

    def selection_of(self, ids: Iterable[RowId]) -> QItemSelection:
        """Rows as a selection: one range for each run of neighbours."""
        places = sorted(place for row_id in ids if (place := self.place(row_id)) is not None)
        selection = QItemSelection()
        begun = 0
        for i, place in enumerate(places):
            if i + 1 == len(places) or places[i + 1] != place + 1:
                selection.select(self.index(places[begun], TIME), self.index(place, LONG))
                begun = i + 1
        return selection

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else 3

    def data(self, index: Index, role: int = _ROLE.DisplayRole) -> object:
        row, column = self.rows[index.row()], index.column()
        if role == _ROLE.DisplayRole:
            return self._words(row, column)
        if role == _ROLE.ToolTipRole and column == WHAT:
            return what_words(row, self._presenter.vocabulary)
        if role == _ROLE.AccessibleTextRole:
            return ", ".join(self._words(row, c) for c in (TIME, WHAT, LONG))
        if role == _ROLE.DecorationRole and column == WHAT:
            is_phase = isinstance(row, Tag) and row.kind is TagKind.PHASE
            return self._icon(row.code) if is_phase and isinstance(row, Tag) else None
        if role == _ROLE.TextAlignmentRole and column != WHAT:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return None

    def _words(self, row: ListedRow, column: int) -> str:
        if column == TIME:
            return tenths(row.start_us)
        if column == WHAT:
            return what_words(row, self._presenter.vocabulary)
        is_running = isinstance(row, Tag) and self._presenter.running.get(row.kind) == row.id
        return "runs" if is_running else long_words(row)

    def _icon(self, code: str) -> QIcon | None:
        """The phase's hue and hatch, as the ribbon has them."""
        palette, style = current_palette(), self._styles.get(code)
        if style is None:
            return None
        key = (palette.name, code)
        if key not in self._icons:
            pixmap = QPixmap(_SWATCH_PX, _SWATCH_PX)
            pixmap.fill(Qt.GlobalColor.transparent)
            painter = QPainter(pixmap)
            try:
                box = Box(0, 0, _SWATCH_PX, _SWATCH_PX, "")
                painter.fillRect(
                    QRectF(box.x, box.y, box.width, box.height), colour(palette.hues[style.hue])
                )
                paint_shapes(painter, hatch_shapes(box, style.hatch, palette.ink, pitch=5.0))
            finally:
                painter.end()
            self._icons[key] = QIcon(pixmap)
        return self._icons[key]
