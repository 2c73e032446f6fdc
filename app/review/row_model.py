"""The list's model: 5,000 rows without a widget each; words are made for what is in sight."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PySide6.QtCore import (
    QAbstractTableModel,
    QItemSelection,
    QModelIndex,
    QPersistentModelIndex,
    Qt,
)
from PySide6.QtWidgets import QWidget

from annotate.ids import RowId
from annotate.tags import Tag
from app.look.pointed import pointed_words
from app.review.presenter import ReviewPresenter
from app.review.row_lines import (
    ListedRow,
    end_words,
    leaning_words,
    long_words,
    what_words,
    whole_words,
)
from app.review.wording import tenths

Index = QModelIndex | QPersistentModelIndex
TIME, WHAT = range(2)
_ROLE = Qt.ItemDataRole


class RowModel(QAbstractTableModel):
    """Time, and what it is; `end_words` stand at the end of the same line."""

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self.rows: list[ListedRow] = []
        self._places: dict[RowId, int] = {}

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
                selection.select(self.index(places[begun], TIME), self.index(place, WHAT))
                begun = i + 1
        return selection

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else 2

    def data(self, index: Index, role: int = _ROLE.DisplayRole) -> object:
        row, column = self.rows[index.row()], index.column()
        vocabulary = self._presenter.vocabulary
        if role == _ROLE.DisplayRole:
            return what_words(row, vocabulary) if column == WHAT else tenths(row.start_us)
        if role == _ROLE.ToolTipRole and column == WHAT:
            lines = filter(None, (whole_words(row, vocabulary), long_words(row)))
            return pointed_words("\n".join(lines))
        if role == _ROLE.AccessibleTextRole:
            words, end = what_words(row, vocabulary), long_words(row)
            return ", ".join(filter(None, (tenths(row.start_us), words, leaning_words(row), end)))
        if role == _ROLE.TextAlignmentRole and column != WHAT:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return None

    def end_words(self, place: int) -> str:
        """What stands at the end of a line: how long, what it weighs, or that it runs."""
        row = self.rows[place]
        is_running = isinstance(row, Tag) and self._presenter.running.get(row.kind) == row.id
        return "runs" if is_running else end_words(row)
