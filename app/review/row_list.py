"""The leaf of the side column that lists all tags and comments, to choose one or many."""

from __future__ import annotations

import re

from PySide6.QtCore import QItemSelection, QItemSelectionModel, QModelIndex, Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QTreeView,
    QVBoxLayout,
    QWidget,
)

from annotate.ids import RowId
from app.review.presenter import ReviewPresenter
from app.review.row_lines import KINDS, ListedRow, Narrowing, lines_of
from app.review.row_model import TIME, WHAT, RowModel
from app.review.row_painter import RowPainter
from app.review.wording import tenths

_EMPTY = (
    "Nothing is tagged yet. A key of the pad tags where you are, Return begins a comment, Ctrl+J "
    "types a tag with its times: each gets a line here."
)
_NONE_FITS = "Nothing fits. Clear the words above, or choose All."
_HOW = "A click goes there. Shift+Down chooses more, Ctrl+A all that is listed."
_REST_MS = 40
"""After an edit the timeline is painted first."""
_FLAGS = QItemSelectionModel.SelectionFlag


class _Rows(QTreeView):
    """Lines that leave all keys to the screen: they tag and travel here as everywhere."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        event.ignore()


class _Words(QLineEdit):
    """Escape clears the words, and gives the keys back where there are none."""

    left = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() != Qt.Key.Key_Escape:
            super().keyPressEvent(event)
        elif self.text():
            self.clear()
        else:
            self.left.emit()


class RowList(QWidget):
    """All tags and comments in order of time, narrowed by kind and words.

    Signals
    -------
    wished
        Case time and id of a row that was clicked.
    left
        The keys are given back to the picture.
    """

    wished = Signal(object, object)
    left = Signal()

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._is_showing = False
        self._seen: tuple[object, ...] = (None, ())
        self.kinds, self.words = QComboBox(), _Words()
        for kind, label in KINDS:
            self.kinds.addItem(label, kind)
        self.kinds.setAccessibleName("Kind of rows that are listed")
        self.kinds.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.words.setPlaceholderText("Narrow to words")
        self.words.setAccessibleName("Words to which the list is narrowed")
        self.words.setClearButtonEnabled(True)
        self.model = RowModel(presenter, self)
        self.rows = _Rows()
        self._dress_rows()
        self.note = QLabel("")
        self.note.setWordWrap(True)
        self.note.setProperty("quiet", True)
        self.note.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self._lay_out()
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_REST_MS)
        self._soon.timeout.connect(self.refresh)
        self.kinds.activated.connect(self.refresh)
        self.words.textChanged.connect(self.refresh)
        self.words.left.connect(self.left)
        self.rows.clicked.connect(self._go)
        self.rows.selectionModel().selectionChanged.connect(self._choose)
        presenter.markup_changed.listen(self._look_soon)
        presenter.chosen_changed.listen(self._show_chosen)
        self.refresh()

    def _dress_rows(self) -> None:
        rows = self.rows
        rows.setModel(self.model)
        rows.setItemDelegateForColumn(WHAT, RowPainter(self.model, self._presenter, rows))
        rows.setRootIsDecorated(False)
        rows.setUniformRowHeights(True)
        rows.setItemsExpandable(False)
        rows.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        rows.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        rows.setAccessibleName("Tags and comments in order of time")
        rows.setAllColumnsShowFocus(True)
        header = rows.header()
        header.hide()
        header.setMinimumSectionSize(20)
        header.setStretchLastSection(False)
        header.setSectionResizeMode(TIME, QHeaderView.ResizeMode.Fixed)
        header.resizeSection(TIME, self._widest_time_px() + 14)
        header.setSectionResizeMode(WHAT, QHeaderView.ResizeMode.Stretch)

    def _widest_time_px(self) -> int:
        """How wide the longest time of the case is."""
        last = re.sub(r"\d", "0", tenths(self._presenter.length_us))
        return self.rows.fontMetrics().horizontalAdvance(last)

    def _lay_out(self) -> None:
        above = QHBoxLayout()
        above.setSpacing(4)
        above.addWidget(self.kinds)
        above.addWidget(self.words, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(above)
        column.addWidget(self.rows, 1)
        column.addWidget(self.note)
        column.addStretch(0)

    # What is listed

    @property
    def narrowing(self) -> Narrowing:
        """What the list is narrowed to."""
        return Narrowing(self.kinds.currentData(), self.words.text())

    @property
    def listed_ids(self) -> tuple[RowId, ...]:
        """Ids of the rows that are listed, in order of time."""
        return tuple(row.id for row in self.model.rows)

    def neighbour(self, direction: int) -> ListedRow | None:
        """The next (1) or last (-1) listed row, from the chosen one or else from the playhead."""
        rows, place = self.model.rows, self.model.place(self._presenter.chosen)
        if place is not None:
            place += direction
            return rows[place] if 0 <= place < len(rows) else None
        here_us = self._presenter.playhead_us
        if direction > 0:
            return next((row for row in rows if row.start_us >= here_us), None)
        return next((row for row in reversed(rows) if row.start_us < here_us), None)

    def _look_soon(self) -> None:
        """After the key press is on the screen; nothing is done while the leaf is closed."""
        presenter = self._presenter
        markup, running = self._seen
        is_same = markup is presenter.markup and running == tuple(presenter.running.values())
        if self.isVisible() and not is_same:
            self._soon.start()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """List what there is now."""
        presenter = self._presenter
        self._seen = (presenter.markup, tuple(presenter.running.values()))
        rows = lines_of(presenter.markup, self.narrowing, presenter.vocabulary)
        bar = self.rows.verticalScrollBar()
        at = bar.value()
        self._is_showing = True
        self.model.take(rows)
        self._is_showing = False
        bar.setValue(at)
        self._show_note(len(rows))
        self._show_chosen()

    def _show_note(self, n_listed: int) -> None:
        n_all = len(self._presenter.rows)
        if not n_all:
            self.note.setText(_EMPTY)
        elif not n_listed:
            self.note.setText(_NONE_FITS)
        else:
            count = f"{n_listed} of {n_all} listed. " if self.narrowing.is_on else ""
            self.note.setText(count + _HOW)
        self.rows.setVisible(n_listed > 0)

    # What is chosen

    def _show_chosen(self) -> None:
        """Choose in the list what is chosen, and bring it into sight."""
        if self._is_showing or not self.isVisible():
            return
        ids = self._presenter.chosen_ids
        self._is_showing = True
        try:
            chosen = self.rows.selectionModel()
            chosen.select(self.model.selection_of(ids), _FLAGS.ClearAndSelect)
            place = self.model.place(self._presenter.chosen)
            if place is not None:
                index = self.model.index(place, WHAT)
                chosen.setCurrentIndex(index, _FLAGS.NoUpdate)
                self.rows.scrollTo(index)
        finally:
            self._is_showing = False

    def _choose(self, _on: QItemSelection, _off: QItemSelection) -> None:
        if self._is_showing:
            return
        ids = [self.model.rows[i.row()].id for i in self.rows.selectionModel().selectedRows()]
        place = self.rows.currentIndex().row()
        lead = self.model.rows[place].id if 0 <= place < len(self.model.rows) else None
        if lead not in ids:
            lead = ids[0] if ids else None
        self._is_showing = True
        try:
            self._presenter.choose(lead, too=ids)
        finally:
            self._is_showing = False

    def _go(self, index: QModelIndex) -> None:
        extending = Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.ControlModifier
        if not QGuiApplication.keyboardModifiers() & extending:
            row = self.model.rows[index.row()]
            self.wished.emit(row.start_us, row.id)
