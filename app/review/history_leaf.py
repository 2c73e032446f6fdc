"""The leaf of the side column that lists what was done, and goes back to a line of it."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QPersistentModelIndex,
    QPointF,
    QRectF,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import QColor, QFont, QPainter, QPen, QPixmap, QShowEvent
from PySide6.QtWidgets import QAbstractItemView, QLabel, QListView, QVBoxLayout, QWidget

from app.look.theme import current_palette
from app.review.own_keys import OwnKeysList
from app.review.past import Past, PastLine, Standing
from app.review.presenter import ReviewPresenter

_REST_MS = 250
"""How long edits rest before the list is read anew: no key waits for it."""
_EMPTY = (
    "Nothing was done yet. Each tag, comment and mark gets a line here as you set it. Choose one "
    "with Up and Down: Return then makes the review what it was just after it."
)
_HOW_LINES = 3
"""Lines that are kept for what the chosen line would do, so that nothing moves under the keys."""
_LOOKING = "This review takes no edit of yours; its history is to read."
_AFTER = {Standing.UNDONE: " (taken back)", Standing.REPLACED: " (taken back, then replaced)"}
_SIGN_PX = 12
Index = QModelIndex | QPersistentModelIndex


class PastModel(QAbstractListModel):
    """Lines of the past with a heading for each day."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows: list[PastLine | date] = []

    def take(self, lines: tuple[PastLine, ...]) -> None:
        """Show these lines, the newest first."""
        self.beginResetModel()
        self.rows, last = [], None
        for line in lines:
            if line.day is not None and line.day != last:
                self.rows.append(line.day)
                last = line.day
            self.rows.append(line)
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        return 0 if parent.isValid() else len(self.rows)

    def flags(self, index: Index) -> Qt.ItemFlag:
        if isinstance(self.rows[index.row()], date):
            return Qt.ItemFlag.NoItemFlags
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        row = self.rows[index.row()]
        is_quiet = isinstance(row, date) or row.standing in (
            Standing.UNDONE,
            Standing.REPLACED,
            Standing.FINAL,
        )
        if role == Qt.ItemDataRole.DisplayRole:
            return row_text(row)
        if role == Qt.ItemDataRole.UserRole:
            return row
        if role == Qt.ItemDataRole.DecorationRole and not isinstance(row, date):
            return standing_sign(row.standing)
        if role == Qt.ItemDataRole.ForegroundRole and is_quiet:
            return QColor(current_palette().quiet)
        if role == Qt.ItemDataRole.FontRole and not isinstance(row, date):
            font = QFont()
            font.setBold(row.standing is Standing.HERE)
            return font
        if role in (Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleTextRole):
            return row_tip(row)
        return None


def row_text(row: PastLine | date) -> str:
    """One row: time of day, what was done, and that it was taken back."""
    if isinstance(row, date):
        return f"{row.day} {row:%B %Y}"
    at = f"{row.at:%H:%M}  " if row.at else ""
    return f"{at}{row.words}{_AFTER.get(row.standing, '')}"


def standing_sign(standing: Standing) -> QPixmap:
    """A small sign of where a line stands; empty where it simply stands."""
    palette = current_palette()
    made = QPixmap(_SIGN_PX, _SIGN_PX)
    made.fill(QColor(0, 0, 0, 0))
    painter = QPainter(made)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if standing is Standing.HERE:
        painter.setPen(QPen(QColor(palette.accent), 1))
        painter.setBrush(QColor(palette.accent))
        painter.drawPolygon([QPointF(3, 2), QPointF(10, 6), QPointF(3, 10)])
    elif standing in (Standing.UNDONE, Standing.REPLACED):
        painter.setPen(QPen(QColor(palette.quiet), 1.4))
        painter.drawArc(QRectF(2, 3, 8, 7), -60 * 16, 220 * 16)
        painter.drawPolyline([QPointF(1, 2), QPointF(2, 6), QPointF(6, 5)])
    painter.end()
    return made


def row_tip(row: PastLine | date) -> str:
    """All that is known of a row."""
    if isinstance(row, date):
        return row_text(row)
    when = f", {row.at:%H:%M:%S}" if row.at else ""
    by = f", {row.by}" if row.by else ""
    standing = f" ({row.standing.value})" if row.standing.value else ""
    return f"{row.words}{when}{by}{standing}"


class HistoryLeaf(QWidget):
    """What was done, newest first; it reads the store only while it is shown.

    Signals
    -------
    told
        What came of going to a line.
    left
        The keys are given back.
    """

    told = Signal(str)
    left = Signal()

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._past = Past(presenter)
        self._is_old = True
        self.model = PastModel(self)
        self.list = OwnKeysList()
        self.list.setModel(self.model)
        self.list.setAccessibleName("History")
        self.list.setWordWrap(True)
        self.list.setSpacing(1)
        self.list.setLayoutMode(QListView.LayoutMode.Batched)
        self.list.setResizeMode(QListView.ResizeMode.Adjust)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.list.activated.connect(self._go)
        self.list.left.connect(self.left)
        self.who = QLabel("")
        self.how = QLabel("")
        for label in (self.who, self.how):
            label.setWordWrap(True)
            label.setProperty("quiet", True)
        self.how.setAccessibleName("What Return on the chosen line does")
        self.how.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.how.setMinimumHeight(_HOW_LINES * self.how.fontMetrics().lineSpacing())
        self.list.selectionModel().currentChanged.connect(self._say_how)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.who)
        column.addWidget(self.list, 1)
        column.addWidget(self.how)
        column.addStretch(0)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_REST_MS)
        self._timer.timeout.connect(self.refresh)
        presenter.markup_changed.listen(self._grow_old)

    def refresh(self) -> None:
        """Read what was done and show it."""
        self._timer.stop()
        chosen = self.list.currentIndex().data(Qt.ItemDataRole.UserRole)
        self._past.read()
        self._is_old = False
        lines = self._past.lines
        self.model.take(lines)
        self.list.setVisible(bool(lines))
        self._say_who(lines)
        self._choose(chosen.id if isinstance(chosen, PastLine) else None)
        self._say_how()

    def begin(self) -> None:
        """Take the keys: Up and Down choose a line, Return goes to it."""
        if self._is_old:
            self.refresh()
        (self.list if self._past.lines else self).setFocus(Qt.FocusReason.ShortcutFocusReason)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._is_old:
            self.refresh()

    def _say_who(self, lines: tuple[PastLine, ...]) -> None:
        session = self._presenter.session
        edition = f", edition {session.edition}" if session.edition > 1 else ""
        others = sorted({line.by for line in lines if line.by} - {session.reviewer.code})
        also = f"; also {', '.join(others)}" if others else ""
        self.who.setText(f"Review of {session.reviewer.code}{edition}{also}")

    def _say_how(self) -> None:
        """Say what going to the chosen line would do."""
        line = self.list.currentIndex().data(Qt.ItemDataRole.UserRole)
        if not self._past.lines:
            self.how.setText(_EMPTY)
        elif not self._presenter.can_edit:
            self.how.setText(_LOOKING)
        else:
            self.how.setText(self._past.would(line) if isinstance(line, PastLine) else "")

    def _choose(self, line_id: str | None) -> None:
        """Keep the line that was chosen; else choose where the review is."""
        rows = self.model.rows
        lines = [n for n, row in enumerate(rows) if isinstance(row, PastLine)]
        here = next((n for n in lines if self._is(rows[n], Standing.HERE)), None)
        same = next((n for n in lines if line_id and self._id_of(rows[n]) == line_id), None)
        place = same if same is not None else here
        if place is None and lines:
            place = lines[0]
        if place is not None:
            self.list.setCurrentIndex(self.model.index(place))

    @staticmethod
    def _is(row: PastLine | date, standing: Standing) -> bool:
        return isinstance(row, PastLine) and row.standing is standing

    @staticmethod
    def _id_of(row: PastLine | date) -> str | None:
        return row.id if isinstance(row, PastLine) else None

    def _grow_old(self) -> None:
        self._is_old = True
        if self.isVisible():
            self._timer.start()  # anew at each edit: the list is read when the keys rest

    def _go(self, index: QModelIndex) -> None:
        line = index.data(Qt.ItemDataRole.UserRole)
        if isinstance(line, PastLine):
            self.told.emit(self._past.go_to(line))
            self.refresh()
