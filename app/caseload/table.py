"""The caseload as a Qt table: rows, sorting, searching, and a strip drawn in each row."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QPersistentModelIndex,
    QSize,
    QSortFilterProxyModel,
    Qt,
)
from PySide6.QtGui import QPixmap

from app.caseload.presenter import CaseloadPresenter, Line, matches

Index = QModelIndex | QPersistentModelIndex
COLUMNS = (
    "",
    "Case",
    "Operator",
    "Case no.",
    "Length",
    "The case at a glance",
    "Review, last edit",
)
POSTER, CODE, OPERATOR, NUMBER, LENGTH, STRIP, STATUS = range(7)
SORT_ROLE = int(Qt.ItemDataRole.UserRole) + 1
ROW_PX = 58
POSTER_SIZE = QSize(90, 51)


class CaseTable(QAbstractTableModel):
    """Cases as rows."""

    def __init__(self, presenter: CaseloadPresenter) -> None:
        super().__init__()
        self._presenter = presenter
        self.posters: dict[str, QPixmap] = {}

    def look_again(self) -> None:
        """Read the list again."""
        self.beginResetModel()
        self._presenter.look_again()
        self.endResetModel()

    def line(self, row: int) -> Line:
        """The case of a row."""
        return self._presenter.lines[row]

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        return 0 if parent.isValid() else len(self._presenter.lines)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(COLUMNS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = 0) -> Any:
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return COLUMNS[section]
        return None

    def data(self, index: Index, role: int = 0) -> Any:
        line = self.line(index.row())
        column = index.column()
        if role == Qt.ItemDataRole.DisplayRole:
            return self._words(line, column)
        if role == SORT_ROLE:
            return self._sort_key(line, column)
        if role == Qt.ItemDataRole.DecorationRole and column == POSTER:
            return self.posters.get(line.row.case.id)
        if role == Qt.ItemDataRole.UserRole:
            return self._presenter.strip(line) if column == STRIP else line
        if role == Qt.ItemDataRole.ToolTipRole:
            return self._tip(line)
        if role == Qt.ItemDataRole.AccessibleTextRole and column == STRIP:
            n_tags = line.session.n_tags if line.session else 0
            return f"Strip of {line.row.case.code}: {n_tags} tags"
        return None

    def _words(self, line: Line, column: int) -> str:
        case = line.row.case
        return {
            CODE: case.code + ("\nmodel case" if case.is_model else ""),
            OPERATOR: f"{case.operator.code}\n{case.operator.level}",
            NUMBER: str(case.case_number),
            LENGTH: line.length,
            POSTER: "" if case.clips else "tags alone",
            STATUS: _review_words(line),
        }.get(column, "")

    def _sort_key(self, line: Line, column: int) -> Any:
        case = line.row.case
        return {
            CODE: case.code.casefold(),
            OPERATOR: f"{case.operator.code.casefold()} {case.case_number:08d}",
            NUMBER: case.case_number,
            LENGTH: case.length_us,
            STRIP: line.session.n_tags if line.session else 0,
            STATUS: line.row.edited_at.timestamp(),
        }.get(column, bool(case.clips))

    def _tip(self, line: Line) -> str:
        case = line.row.case
        lines = [f"{case.code}, {self._presenter.operation(line)}"]
        lines += [f"{key}: {value}" for key, value in case.attributes.items()]
        lines.append(f"{len(case.clips)} clips" if case.clips else "known by its tags alone")
        return "\n".join(lines)


class CaseFilter(QSortFilterProxyModel):
    """Narrows the list to what is typed."""

    def __init__(self) -> None:
        super().__init__()
        self._wanted = ""
        self.setSortRole(SORT_ROLE)

    def narrow(self, wanted: str) -> None:
        """Show only cases that have every word."""
        self.beginFilterChange()
        self._wanted = wanted
        self.endFilterChange()

    def filterAcceptsRow(self, row: int, parent: Index) -> bool:
        model = self.sourceModel()
        return isinstance(model, CaseTable) and matches(model.line(row), self._wanted)


def _review_words(line: Line) -> str:
    """How far the reviews are; below, what the shown one holds and when it was last edited."""
    if line.session is None:
        return line.status
    edited = line.row.edited_at.astimezone()
    is_this_year = edited.year == datetime.now(UTC).year
    when = f"{edited.day} {edited:%b}" + ("" if is_this_year else f" {edited.year}")
    n_tags, n_comments = line.session.n_tags, line.session.n_comments
    tags = f"{n_tags} tag" + ("" if n_tags == 1 else "s")
    comments = f"{n_comments} comment" + ("" if n_comments == 1 else "s")
    return f"{line.status}\n{tags}, {comments}; {when}"
