"""The panel in which the caseload is searched, by keys alone."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, QObject, QSize, Qt, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QShowEvent
from PySide6.QtWidgets import QDialog, QLabel, QLineEdit, QListView, QVBoxLayout, QWidget

from app.look.screen_room import keep_on_screen
from app.searching.answers import Answer, Line, Searching
from app.searching.rows import FoundModel, FoundPainter
from app.searching.searcher import Searcher
from store import Store

_EMPTY = (
    "Type what you remember: the beginnings of words in a comment or on a mark, or the name of a "
    "phase or an event. Up and Down choose a place, Return opens its case at that frame."
)
_LOOKING = "Looking…"
_LONGEST_QUERY = 200
_KEY = Qt.Key
_TO_LIST = (_KEY.Key_Up, _KEY.Key_Down, _KEY.Key_PageUp, _KEY.Key_PageDown)


class SearchPanel(QDialog):
    """One line to type in, and what was found under it, case by case.

    Signals
    -------
    wished
        The `Line` to go to.
    """

    wished = Signal(object)

    def __init__(self, store: Store, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._store = store
        self.viewer = ""
        self.setWindowTitle("Search all cases")
        self.line = QLineEdit()
        self.line.setPlaceholderText("Words of a comment, a mark, a phase, an event")
        self.line.setAccessibleName("Search all cases")
        self.line.setMaxLength(_LONGEST_QUERY)
        self.line.setClearButtonEnabled(True)
        self.line.installEventFilter(self)
        self.model = FoundModel(self)
        self.list = QListView()
        self.list.setModel(self.model)
        self.list.setItemDelegate(FoundPainter(self.model, self.list))
        self.list.setAccessibleName("Places found")
        self.list.setUniformItemSizes(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.clicked.connect(self._go)
        self.state = QLabel(_EMPTY)
        self.state.setWordWrap(True)
        self.state.setProperty("quiet", True)
        self.state.setTextFormat(Qt.TextFormat.PlainText)
        column = QVBoxLayout(self)
        column.addWidget(self.line)
        column.addWidget(self.state)
        column.addWidget(self.list, 1)
        self.searcher = Searcher(self)
        self.searcher.found.connect(self._show)
        self.searcher.failed.connect(self.state.setText)
        self.line.textChanged.connect(self._ask)
        self.resize(self.sizeHint())
        keep_on_screen(self)

    def sizeHint(self) -> QSize:
        return QSize(780, 520)

    def ask(self, viewer: str) -> None:
        """Open for whoever sits at the desk, with the words of last time chosen."""
        self.viewer = self.model.viewer = viewer
        self.show()
        self.activateWindow()
        self.line.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.line.selectAll()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.searcher.open(Searching(self._store, self.viewer))
        self._ask()

    def hideEvent(self, event: QHideEvent) -> None:
        self.searcher.close()
        super().hideEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Up, Down and Return in the line go through the list, so that one hand stays there."""
        if watched is self.line and isinstance(event, QKeyEvent):
            if event.type() != QEvent.Type.KeyPress:
                return super().eventFilter(watched, event)
            if event.key() in _TO_LIST:
                self._step(event)
                return True
            if event.key() in (_KEY.Key_Return, _KEY.Key_Enter):
                self._go(self.list.currentIndex())
                return True
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == _KEY.Key_F3:
            self.ask(self.viewer)
        elif event.key() in (_KEY.Key_Return, _KEY.Key_Enter):
            self._go(self.list.currentIndex())
        else:
            super().keyPressEvent(event)

    def _step(self, event: QKeyEvent) -> None:
        """The next place that way; headings are passed over."""
        far = event.key() in (_KEY.Key_PageUp, _KEY.Key_PageDown)
        back = event.key() in (_KEY.Key_Up, _KEY.Key_PageUp)
        places = [n for n, row in enumerate(self.model.rows) if isinstance(row, Line)]
        if not places:
            return
        here = self.list.currentIndex().row()
        at = places.index(here) if here in places else -1
        step = (8 if far else 1) * (-1 if back else 1)
        self._choose(places[max(0, min(at + step, len(places) - 1))])

    def _choose(self, row: int) -> None:
        self.list.setCurrentIndex(self.model.index(row))
        if row and isinstance(self.model.rows[row - 1], str):
            self.list.scrollTo(self.model.index(row - 1))
        self.list.scrollTo(self.list.currentIndex())

    def _ask(self) -> None:
        self.searcher.ask(self.line.text())
        if not self.line.text().strip():
            self._show(Answer(""))
        elif not self.model.rows:
            self.state.setText(_LOOKING)

    def _show(self, answer: Answer) -> None:
        if answer.query.strip() != self.line.text().strip():
            return
        chosen = self.list.currentIndex().data(Qt.ItemDataRole.UserRole)
        self.model.take(answer)
        self.state.setText(state_words(answer))
        rows = self.model.rows
        ids = [row.found.row_id if isinstance(row, Line) else None for row in rows]
        same = isinstance(chosen, Line) and chosen.found.row_id in ids
        if rows:
            self._choose(ids.index(chosen.found.row_id) if same else 1)

    def _go(self, index: QModelIndex) -> None:
        row = index.data(Qt.ItemDataRole.UserRole)
        if isinstance(row, Line):
            self.hide()
            self.wished.emit(row)


def state_words(answer: Answer) -> str:
    """How much was found; what to do where nothing was."""
    words = " ".join(answer.query.split())
    if not words:
        return _EMPTY
    if not answer.cases:
        return (
            f"Nothing has '{words}'. Every word must begin a word of one comment, mark or "
            "tag; fewer or shorter ones find more."
        )
    places = "1 place" if answer.n_places == 1 else f"{answer.n_places} places"
    cases = "1 case" if len(answer.cases) == 1 else f"{len(answer.cases)} cases"
    more = "The newest " if answer.is_cut else ""
    rest = "; more words narrow it" if answer.is_cut else ""
    order = "; in each case by time" if answer.n_places > 1 else ""
    return f"{more}{places} in {cases}{order}{rest}"
