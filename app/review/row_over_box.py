"""The row over the comment box: what is chosen, or else the heading of the comment."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.review.chosen_line import ROW_PX, ChosenLine
from app.review.comment_box import CommentBox


class RowOverBox(QWidget):
    """One height whatever stands in it, so that nothing jumps.

    The comment's heading stands there while one is written, and while nothing is chosen; what
    the next key is for goes before both.
    """

    def __init__(self, chosen: ChosenLine, box: CommentBox, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._chosen, self._box = chosen, box
        self._can_write = True
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(chosen)
        column.addWidget(box.controls.head)
        self.setFixedHeight(ROW_PX)
        chosen.refreshed.connect(self._show)
        box.shown.connect(self._show)
        self._show()

    def show_whether_editable(self, can_edit: bool) -> None:
        """No heading where no comment can be written."""
        self._can_write = can_edit
        self._show()

    def _show(self) -> None:
        is_written = self._box.draft is not None and not self._chosen.has_prompt
        has_heading = self._can_write and (is_written or self._chosen.is_empty)
        self._chosen.setVisible(not has_heading)
        self._box.controls.head.setVisible(has_heading)
