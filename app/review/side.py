"""The side column of Review: whose review it is, and the leaves beneath."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QSpacerItem,
    QVBoxLayout,
    QWidget,
)

from app.review.chosen_line import ChosenLine
from app.review.comment_box import CommentBox
from app.review.comment_list import CommentList
from app.review.draw_leaf import DrawLeaf
from app.review.figures_later import FiguresLater
from app.review.figures_line import FiguresLine
from app.review.history_leaf import HistoryLeaf
from app.review.leaves import Leaves
from app.review.machine_leaf import MachineLeaf
from app.review.machine_values import MachineValues
from app.review.marking import Marking
from app.review.presenter import ReviewPresenter
from app.review.read_only_line import ReadOnlyLine
from app.review.row_list import RowList
from app.review.row_over_box import RowOverBox
from app.review.session_choice import SessionChoice
from app.review.tag_pad import TagPad

NARROWEST_PX, WIDEST_PX = 380, 620
_LOW_PX = 860
"""Below this height the pad's rows stand close."""
_AROUND_PX = 40
"""What is seen above and below of what has the keys: its heading, its buttons."""


class Side(QScrollArea):
    """It scrolls where the screen is low."""

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self.pad = TagPad(presenter)
        self.figures_line = FiguresLine(presenter)
        self.figures_later = FiguresLater(presenter, self)
        self.figures_later.ready.connect(self.pad.show_figures)
        self.figures_later.ready.connect(self.figures_line.show_figures)
        self.chosen_line = ChosenLine(presenter)
        self.comment_box = CommentBox(presenter)
        self.row_over_box = RowOverBox(self.chosen_line, self.comment_box)
        self.comments = CommentList(presenter)
        self.sessions = SessionChoice(presenter)
        self.why_not = ReadOnlyLine(presenter)
        self._fold = QSpacerItem(0, 0, QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Fixed)
        self.leaves = Leaves()
        self.leaves.add("tag", "Tag", self._tag_leaf())
        self.marking = Marking(presenter)
        self.draw = DrawLeaf(self.marking)
        self.leaves.add("draw", "Draw", self.draw)
        self.machine = MachineLeaf(MachineValues(presenter))
        self.leaves.add("machine", "Machine", self.machine)
        self.rows = RowList(presenter)
        self.leaves.add("list", "List", self.rows)
        self.history = HistoryLeaf(presenter)
        self.leaves.add("history", "History", self.history)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(10, 3, 10, 3)
        column.setSpacing(3)
        column.addWidget(self._title())
        column.addWidget(self.why_not)
        column.addWidget(self.leaves, 1)
        self.setWidget(body)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setMinimumWidth(NARROWEST_PX)
        self.setMaximumWidth(WIDEST_PX)
        self.setMinimumHeight(0)
        self.pad.installEventFilter(self)
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._follow_keys)

    def _follow_keys(self, _before: QWidget | None, now: QWidget | None) -> None:
        """What has the keys is seen, also where the column is lower than what it holds."""
        body = self.widget()
        if body is not None and now is not None and body.isAncestorOf(now):
            self.ensureWidgetVisible(now, 0, _AROUND_PX)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.pad.set_dense(self.height() < _LOW_PX)
        super().resizeEvent(event)
        self._keep_figures_whole()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The figures do not lie over the lower edge when the pad over them has moved."""
        if watched is self.pad and event.type() in (QEvent.Type.Move, QEvent.Type.Resize):
            self._keep_figures_whole()
        return super().eventFilter(watched, event)

    def _keep_figures_whole(self) -> None:
        """Let the figures begin below the edge of a low column in place of being cut by it."""
        pad, body = self.pad, self.widget()
        if body is None:
            return
        top = pad.mapTo(body, QPoint(0, pad.height())).y() + self._tag_column.spacing()
        edge = self.viewport().height()
        gap = edge - top if top < edge < top + self.figures_line.height() else 0
        if gap != self._fold.sizeHint().height():
            self._fold.changeSize(0, gap, QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Fixed)
            self._tag_column.invalidate()
            self._tag_column.update()
            self.leaves.stack.updateGeometry()  # its least height is another one now

    def show_whether_editable(self) -> None:
        """Show at once that a session is only to look at, and why."""
        can_edit = self._presenter.can_edit
        self.pad.setEnabled(can_edit)
        self.why_not.say(self._presenter.why_not)
        self.comment_box.setVisible(can_edit)
        self.row_over_box.show_whether_editable(can_edit)
        self.why_not.setVisible(not can_edit)

    def close_leaves(self) -> None:
        """End what is still being added up."""
        self.figures_later.close()
        self.machine.close_leaf()

    def _tag_leaf(self) -> QWidget:
        leaf = QWidget()
        column = self._tag_column = QVBoxLayout(leaf)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addWidget(self.pad)
        column.addSpacerItem(self._fold)
        column.addWidget(self.figures_line)
        column.addWidget(self.row_over_box)
        column.addWidget(self.comment_box)
        column.addWidget(self.comments, 1)
        column.addStretch(0)
        return leaf

    def _title(self) -> QWidget:
        case = self._presenter.case
        eye = f", {case.eye.value}" if case.eye else ""
        model = ", model case" if case.is_model else ""
        label = QLabel(
            f"<b>{case.code}</b>  case {case.case_number} of {case.operator.code}{eye}{model}"
        )
        label.setTextFormat(Qt.TextFormat.RichText)
        label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        operation = self._presenter.vocabulary.title
        label.setToolTip(f"{label.text()}<br>{escape(operation)}")
        label.setAccessibleName(f"Case {case.code}: {operation}")
        title = QWidget()
        row = QHBoxLayout(title)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(label, 1)
        row.addWidget(self.sessions)
        return title
