"""The first minute: steps that are shown once and from the Help menu; and the cautions."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QVBoxLayout, QWidget

from app.look.screen_room import ScrolledBody, keep_on_screen

_TAKE_IN = (
    "Take in a case.",
    "<b>Ctrl + N</b>: add its files, say who operated (a code, never a name) and which case of "
    "theirs it was.",
)
_RUN = (
    "Let it run.",
    "Open a case and press <b>Space</b>. <b>Right</b> and <b>Left</b> step frame by frame; "
    "with Shift, by a second. The ribbon under the picture is the whole case.",
)
_TAG = (
    "Tag while it runs.",
    "Each step of the operation has a key, shown on the pad at the right: press it where the step "
    "begins, and the one before ends. Event keys drop a pin. <b>Return</b> starts a comment; just "
    "type, the clip plays on.",
)
_HAND_BACK = (
    "Hand it back.",
    "<b>Ctrl + E</b> shows what goes out, then writes the note: what to commend, what to correct, "
    "each with its time and picture. Everything is kept as you go; there is nothing to save, and "
    "<b>Ctrl + Z</b> takes any edit back until you sign, or move parts.",
)
_DEMO = (
    "<p>To look around first, close the desk and start <b>scrubline demo</b>: it opens an "
    "invented caseload in a store of its own.</p>"
)
_WIDTH_PX = 470


def steps_text(*, is_empty: bool) -> str:
    """The steps, beginning with taking a case in where there is none."""
    steps = [_TAKE_IN, _RUN, _TAG, _HAND_BACK] if is_empty else [_RUN, _TAG, _HAND_BACK]
    told = "".join(f"<p><b>{n}. {head}</b> {words}</p>" for n, (head, words) in enumerate(steps, 1))
    return f"<h3>The first minute</h3>{told}{_DEMO if is_empty else ''}"


class HintDialog(QDialog):
    """The steps in a small window over the middle of the desk.

    Parameters
    ----------
    is_empty : bool
        Whether there is no case yet.
    fresh_case : str
        Code of a case that nobody has reviewed, to begin with in a demo; empty for no such offer.

    Signals
    -------
    case_wished
        The fresh case is to be opened.
    intake_wished
        A case is to be taken in.
    """

    case_wished = Signal(str)
    intake_wished = Signal()

    def __init__(
        self, *, is_empty: bool = False, fresh_case: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("The first minute")
        self.words = _wrapped(steps_text(is_empty=is_empty))
        buttons = QDialogButtonBox()
        role = QDialogButtonBox.ButtonRole
        if fresh_case:
            fresh = buttons.addButton("Try a fresh case", role.ActionRole)
            fresh.clicked.connect(lambda: self._leave_for(fresh_case))
        self.begin = buttons.addButton("Take in a case" if is_empty else "Begin", role.AcceptRole)
        if is_empty:
            self.begin.clicked.connect(self.intake_wished)
            buttons.addButton("Not now", role.RejectRole)
        self.begin.setDefault(True)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        _lay_out(self, self.words, buttons)

    def _leave_for(self, code: str) -> None:
        self.accept()
        self.case_wished.emit(code)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        parent = self.parentWidget()
        if parent is not None:
            frame = self.frameGeometry()
            frame.moveCenter(parent.frameGeometry().center())
            self.move(frame.topLeft())


class CautionsDialog(QDialog):
    """What the figures are for, and what they are not for."""

    def __init__(self, cautions: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Cautions")
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        _lay_out(self, _wrapped("".join(f"<p>{caution}</p>" for caution in cautions)), buttons)


def _wrapped(text: str) -> QLabel:
    words = QLabel(text)
    words.setWordWrap(True)
    words.setFixedWidth(_WIDTH_PX)
    words.setMinimumHeight(words.heightForWidth(_WIDTH_PX))
    return words


def _lay_out(dialog: QDialog, words: QLabel, buttons: QDialogButtonBox) -> None:
    column = QVBoxLayout(dialog)
    column.setContentsMargins(22, 12, 16, 14)
    column.addWidget(ScrolledBody(words), 1)
    column.addWidget(buttons)
    dialog.resize(dialog.sizeHint())
    keep_on_screen(dialog)
