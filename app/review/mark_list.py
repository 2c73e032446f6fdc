"""The marks of a session, in order of time; a click goes there and chooses one."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QLabel, QWidget

from annotate.ids import RowId
from annotate.marks import Mark, MarkKind, MarkLook
from app.review.keyed_list import KeyedList
from app.review.list_pane import ListPane
from app.review.mark_icons import TOOL_SIZE, mark_icon
from app.review.marking import Marking
from app.review.wording import tenths

EMPTY = (
    "Take a tool (Alt+1 to Alt+6) and drag on the picture; the mark is kept at once, and Esc gives "
    "the hand back."
)
NO_MARK = "No mark was drawn in this review."
LONGEST_LIST = 2_000


class MarkList(ListPane):
    """All marks; one sentence where there are none."""

    def __init__(self, marking: Marking, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._marking = marking
        self._presenter = marking.presenter
        self.list = KeyedList("Marks")
        self.list.setIconSize(TOOL_SIZE)
        self.empty = QLabel(EMPTY)
        self.empty.setWordWrap(True)
        self.empty.setProperty("quiet", True)
        self.empty.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.column.addWidget(self.empty)
        self.column.addWidget(self.list, 1)
        self.column.addStretch(0)
        self._icons: dict[tuple[MarkKind, MarkLook], QIcon] = {}
        self._shown: tuple[Mark, ...] | None = None
        self._presenter.markup_changed.listen(self.refresh)
        self._presenter.chosen_changed.listen(self._show_chosen)
        self.follow(self.list, self._go, self._go, self._drop)
        self.refresh()

    def show_no_picture(self) -> None:
        """Ask nobody to draw where there is no picture."""
        self.empty.setText(NO_MARK)

    def close_list(self) -> None:
        """Listen no more."""
        self._presenter.markup_changed.forget(self.refresh)
        self._presenter.chosen_changed.forget(self._show_chosen)

    def refresh(self) -> None:
        """Show the marks as they are."""
        marks = self._marking.marks[:LONGEST_LIST]
        if marks == self._shown:
            return
        self._shown = marks
        self.list.show_rows([(self._words(mark), mark.id) for mark in marks])
        for place, mark in enumerate(marks):
            self.list.item(place).setIcon(self._icon(mark))
        self.empty.setVisible(not marks)
        self.list.setVisible(bool(marks))
        self._show_chosen()

    def _icon(self, mark: Mark) -> QIcon:
        key = (mark.kind, mark.look)
        if key not in self._icons:
            self._icons[key] = mark_icon(mark)
        return self._icons[key]

    def _words(self, mark: Mark) -> str:
        more = [word for word, is_so in (("fades", mark.is_fading), ("follows", mark.is_following))
                if is_so]  # fmt: skip
        signs = f" ({', '.join(more)})" if more else ""
        return (
            f"{tenths(mark.start_us)} to {tenths(mark.end_us)}  {self._marking.name(mark)}{signs}"
        )

    def _show_chosen(self) -> None:
        ids = [mark.id for mark in self._shown or ()]
        chosen = self._presenter.chosen
        if chosen in ids:
            self.list.setCurrentRow(ids.index(chosen))
        else:
            self.list.setCurrentRow(-1)

    def _go(self, mark_id: object) -> None:
        mark = self._presenter.any_row(RowId(str(mark_id)))
        if isinstance(mark, Mark):
            self._presenter.choose(mark.id)
            if not self._marking.is_here(mark):
                self.wished.emit(mark.start_us)

    def _drop(self, mark_id: object) -> None:
        self._presenter.choose(RowId(str(mark_id)))
        self._marking.remove_chosen()
