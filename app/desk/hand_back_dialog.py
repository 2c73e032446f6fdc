"""The last look before a note is written: what goes out, of whom, and in what state."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from app.handback.last_look import (
    AS_TYPED,
    KINDS,
    NOTHING_TYPED,
    STILLS_AS_RECORDED,
    LastLook,
)
from app.look.screen_room import ScrolledBody, keep_on_screen

_WIDTH_PX = 600
_HEIGHT_PX = 620
"""More is scrolled."""


class HandBackDialog(QDialog):
    """Says all of it; nothing is written before a place is chosen.

    Signals
    -------
    kind_chosen
        The end of the file's name that was chosen; now ask where.
    sign_wished
        The review is to be signed first.
    """

    kind_chosen = Signal(str)
    sign_wished = Signal()

    def __init__(
        self, look: LastLook, kind: str, *, may_sign: bool, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._look = look
        self.setWindowTitle("Hand back the note")
        self.kinds = QComboBox()
        self.kinds.setAccessibleName("Written as")
        for ending, words in KINDS.items():
            self.kinds.addItem(f"{words} (.{ending})", ending)
        self.kinds.setCurrentIndex(list(KINDS).index(kind))
        self.goes_out = _words("")
        self.stills = _words(STILLS_AS_RECORDED)
        self.typed = _words("\n".join(look.typed))
        self.typed.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.typed.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.typed.setAccessibleName("Words that go out as typed")
        self.buttons = QDialogButtonBox()
        role = QDialogButtonBox.ButtonRole
        self.go_on = self.buttons.addButton("Choose where", role.AcceptRole)
        self.sign = self.buttons.addButton("Sign it first", role.ActionRole)
        self.buttons.addButton("Leave it", role.RejectRole)
        self.sign.setVisible(may_sign)
        self.sign.clicked.connect(self._sign)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self.accepted.connect(self._choose)
        self.kinds.currentIndexChanged.connect(self._show_kind)
        self._lay_out()
        self._show_kind()
        self.go_on.setDefault(True)
        self.go_on.setFocus()

    @property
    def kind(self) -> str:
        """The end of the file's name that is chosen."""
        return str(self.kinds.currentData())

    def _lay_out(self) -> None:
        body = QWidget()
        grid = QGridLayout(body)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(14)
        grid.setVerticalSpacing(7)
        grid.setColumnStretch(1, 1)
        rows: list[tuple[str, QWidget]] = [(name, _words(said)) for name, said in self._look.facts]
        rows += [("Written as", self.kinds), ("Goes out", self.goes_out)]
        rows += [("Who is who", _words(self._look.identity)), ("", self.stills)]
        if self._look.draft:
            rows.append(("Draft", _words(self._look.draft)))
        rows.append(("As typed", _words(AS_TYPED if self._look.typed else NOTHING_TYPED)))
        if self._look.typed:
            rows.append(("", self.typed))
        for place, (name, widget) in enumerate(rows):
            label = QLabel(name)
            label.setProperty("quiet", True)
            if widget is self.kinds:
                grid.addWidget(label, place, 0, Qt.AlignmentFlag.AlignVCenter)
            else:
                grid.addWidget(label, place, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(widget, place, 1)
        column = QVBoxLayout(self)
        column.addWidget(ScrolledBody(body), 1)
        column.addWidget(self.buttons)
        self._show_kind()
        self.resize(_WIDTH_PX + 40, min(body.heightForWidth(_WIDTH_PX) + 90, _HEIGHT_PX))
        keep_on_screen(self)

    def _show_kind(self) -> None:
        self.goes_out.setText(self._look.what_goes_out(self.kind))
        is_told = self._look.is_with_stills(self.kind)
        self.stills.setText(STILLS_AS_RECORDED if is_told else "No picture goes out.")

    def _choose(self) -> None:
        self.kind_chosen.emit(self.kind)

    def _sign(self) -> None:
        self.reject()
        self.sign_wished.emit()


def _words(text: str) -> QLabel:
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    label.setAlignment(Qt.AlignmentFlag.AlignTop)
    return label
