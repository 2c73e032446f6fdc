"""The caseload screen: a search field above the list of cases."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QPushButton,
    QStackedWidget,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from annotate.case import Case
from app.caseload.delegates import PosterDelegate, StripDelegate
from app.caseload.presenter import CaseloadPresenter
from app.caseload.table import (
    CODE,
    COLUMNS,
    LENGTH,
    NUMBER,
    OPERATOR,
    POSTER,
    POSTER_SIZE,
    ROW_PX,
    STATUS,
    STRIP,
    CaseFilter,
    CaseTable,
)

_WIDTHS = {POSTER: 106, CODE: 124, OPERATOR: 92, NUMBER: 76, LENGTH: 70, STATUS: 208}


class CaseloadView(QWidget):
    """List of cases."""

    open_wished = Signal(str)
    take_in_wished = Signal()

    def __init__(self, presenter: CaseloadPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.presenter = presenter
        self.model = CaseTable(presenter)
        self.filter = CaseFilter()
        self.filter.setSourceModel(self.model)
        self.search = QLineEdit()
        self.search.setPlaceholderText("Find: operator, case, vocabulary, eye, status ...")
        self.search.setAccessibleName("Find in the caseload")
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self._narrow)
        self.search.returnPressed.connect(self._open_first)
        self.count = QLabel("")
        self.count.setProperty("quiet", True)
        self.table = self._make_table()
        self.open_button = QPushButton("Review")
        self.open_button.setDefault(True)
        self.open_button.clicked.connect(self.open_chosen)
        take_in = QPushButton("Take in a case")
        take_in.clicked.connect(self.take_in_wished)
        top = QHBoxLayout()
        top.addWidget(self.search, 1)
        top.addWidget(self.count)
        top.addSpacing(10)
        top.addWidget(take_in)
        top.addWidget(self.open_button)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.table)
        self.stack.addWidget(self._empty_state())
        self.nothing = QLabel("")
        self.nothing.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.nothing.setProperty("quiet", True)
        self.stack.addWidget(self.nothing)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 16, 10)
        column.setSpacing(10)
        column.addLayout(top)
        column.addWidget(self.stack, 1)
        for first, then in (
            (self.search, self.table),
            (self.table, take_in),
            (take_in, self.open_button),
        ):
            self.setTabOrder(first, then)

    def _make_table(self) -> QTableView:
        table = QTableView()
        table.setModel(self.filter)
        table.setAccessibleName("Cases")
        table.setSortingEnabled(True)
        table.sortByColumn(STATUS, Qt.SortOrder.DescendingOrder)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        table.setShowGrid(False)
        table.setIconSize(POSTER_SIZE)
        table.setTabKeyNavigation(False)
        table.verticalHeader().hide()
        table.verticalHeader().setDefaultSectionSize(ROW_PX)
        table.setItemDelegateForColumn(POSTER, PosterDelegate(table))
        table.setItemDelegateForColumn(STRIP, StripDelegate(table))
        header = table.horizontalHeader()
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setHighlightSections(False)
        header.setSortIndicatorShown(False)
        header.sectionClicked.connect(lambda _section: header.setSortIndicatorShown(True))
        for column in range(len(COLUMNS)):
            if column == STRIP:
                header.setSectionResizeMode(column, QHeaderView.ResizeMode.Stretch)
            else:
                table.setColumnWidth(column, _WIDTHS[column])
        table.doubleClicked.connect(self._open_index)
        table.activated.connect(self._open_index)
        return table

    def _empty_state(self) -> QWidget:
        words = QLabel(
            "<h2>No case yet</h2>"
            "<p>Take a recorded case in: choose its files in order, say who operated (as a code)"
            "<br>and which case of theirs it was. Then tag it while it plays.</p>"
        )
        words.setAlignment(Qt.AlignmentFlag.AlignCenter)
        button = QPushButton("Take in a case")
        button.setDefault(True)
        button.clicked.connect(self.take_in_wished)
        page = QWidget()
        column = QVBoxLayout(page)
        column.addStretch(1)
        column.addWidget(words)
        column.addWidget(button, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(2)
        return page

    def look_again(self) -> None:
        """Read the list again; the chosen case stays chosen."""
        chosen = self.chosen_case()
        self.model.look_again()
        self._show_count()
        self.choose(chosen.code if chosen else None)

    def choose(self, code: str | None) -> None:
        """Choose a case by its code; the first one if it is not listed."""
        for row in range(self.filter.rowCount()):
            line = self.filter.index(row, CODE).data(Qt.ItemDataRole.UserRole)
            if line.row.case.code == code:
                self.table.selectRow(row)
                return
        if self.filter.rowCount():
            self.table.selectRow(0)

    def chosen_case(self) -> Case | None:
        """The chosen case."""
        index = self.table.currentIndex()
        if not index.isValid():
            return None
        case: Case = index.siblingAtColumn(CODE).data(Qt.ItemDataRole.UserRole).row.case
        return case

    def show_poster(self, case_id: str, picture: QPixmap) -> None:
        """Show a case's picture in its row."""
        ratio = self.devicePixelRatioF()
        fitted = picture.scaled(
            POSTER_SIZE * ratio,
            Qt.AspectRatioMode.KeepAspectRatio,
            Qt.TransformationMode.SmoothTransformation,
        )
        fitted.setDevicePixelRatio(ratio)
        self.model.posters[case_id] = fitted
        self.table.viewport().update()

    def open_chosen(self) -> None:
        """Ask for the chosen case."""
        case = self.chosen_case()
        if case is not None:
            self.open_wished.emit(case.code)

    def _open_index(self, index: QModelIndex) -> None:
        self.table.setCurrentIndex(index)
        self.open_chosen()

    def _open_first(self) -> None:
        if self.filter.rowCount():
            self.table.selectRow(0)
            self.open_chosen()

    def _narrow(self, wanted: str) -> None:
        self.filter.narrow(wanted)
        self._show_count()
        if self.filter.rowCount():
            self.table.selectRow(0)

    def _show_count(self) -> None:
        n_shown, n_all = self.filter.rowCount(), self.model.rowCount()
        noun = "case" if n_all == 1 else "cases"
        self.count.setText(
            f"{n_all} {noun}" if n_shown == n_all else f"{n_shown} of {n_all} {noun}"
        )
        self.open_button.setEnabled(bool(n_shown))
        if not n_all:
            self.stack.setCurrentIndex(1)
        elif not n_shown:
            self.nothing.setText(f"No case has all of '{self.search.text()}'.")
            self.stack.setCurrentIndex(2)
        else:
            self.stack.setCurrentIndex(0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.open_chosen()
        elif event.key() == Qt.Key.Key_Escape and self.search.text():
            self.search.clear()
        else:
            super().keyPressEvent(event)
