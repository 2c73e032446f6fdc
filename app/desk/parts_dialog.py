"""The dialog on the parts of the recording: how they lie, what was found, moving and offsets."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.clock import shown
from annotate.errors import UserFacingError
from app.caseload.clip_list import VIDEO_FILES, in_natural_order
from app.intake.parts_plan import PartLine, PartsPlan, facts, offset_text
from app.look.screen_room import ScrolledBody, keep_on_screen

_PROMISE = (
    "Tags and comments stay on their pictures, in every review of this case. What was done in "
    "them so far can no longer be undone once parts have moved."
)
_HOW = "seconds, such as 4.2; -0.48 or -12 f if pictures come twice"
_FIRST = "nothing lies before the first part"


class PartsDialog(QDialog):
    """Shows a plan of parts and changes it; nothing is done before `wished`.

    Signals
    -------
    wished
        The plan is to be carried out.
    adding_wished
        Paths, as a list of Path, that are to be added as parts.
    """

    wished = Signal()
    adding_wished = Signal(object)

    def __init__(self, plan: PartsPlan, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.plan = plan
        self.setWindowTitle(f"Parts of the recording of {plan.case.code}")
        self.parts = QListWidget()
        self.parts.setAccessibleName("Parts in order")
        self.parts.setWordWrap(True)
        self.parts.setMinimumHeight(120)
        self.parts.currentRowChanged.connect(self._show_chosen)
        self.earlier = self._button("&Earlier", lambda: self._move(-1))
        self.later = self._button("&Later", lambda: self._move(1))
        self.add = self._button("&Add parts ...", self._ask_for_files)
        self.take = self._button("&Take what was found", self._take_found)
        self.set_offset = self._button("&Set", self._set_offset)
        self.offset = QLineEdit()
        self.offset.setAccessibleName("What lies before the chosen part")
        self.offset.returnPressed.connect(self._set_offset)
        self.evidence = QLabel("")
        self.evidence.setWordWrap(True)
        self.evidence.setMinimumHeight(48)
        self.evidence.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.trouble = QLabel("")
        self.trouble.setWordWrap(True)
        self.trouble.setProperty("trouble", True)
        self._lay_out()
        self.say("")
        for keys, by in (("Alt+Up", -1), ("Alt+Down", 1)):
            QShortcut(QKeySequence(keys), self, lambda by=by: self._move(by))
        self.refresh(0)
        self.resize(680, 460)
        keep_on_screen(self)

    def _button(self, words: str, deed: object) -> QPushButton:
        button = QPushButton(words)
        button.setAutoDefault(False)
        button.clicked.connect(deed)
        return button

    def _lay_out(self) -> None:
        moving = QHBoxLayout()
        for button in (self.earlier, self.later, self.take, self.add):
            moving.addWidget(button)
        moving.addStretch(1)
        self.gap = label = QLabel("&Gap before it")
        label.setBuddy(self.offset)
        offset = QHBoxLayout()
        offset.addWidget(label)
        offset.addWidget(self.offset, 1)
        offset.addWidget(self.set_offset)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(2, 2, 2, 2)
        column.setSpacing(8)
        column.addWidget(self.parts, 1)
        column.addWidget(self.evidence)
        column.addLayout(moving)
        column.addLayout(offset)
        promise = QLabel(_PROMISE)
        promise.setWordWrap(True)
        column.addWidget(promise)
        box = QDialogButtonBox()
        self.leave = box.addButton("Leave it", QDialogButtonBox.ButtonRole.RejectRole)
        self.arrange = box.addButton("Lay them so", QDialogButtonBox.ButtonRole.AcceptRole)
        self.arrange.setAutoDefault(False)
        self.leave.setAutoDefault(False)
        box.accepted.connect(self._wish)
        box.rejected.connect(self.reject)
        outer = QVBoxLayout(self)
        self._body = body
        outer.addWidget(ScrolledBody(body), 1)
        outer.addWidget(self.trouble)
        outer.addWidget(box)

    # What it shows

    def refresh(self, row: int | None = None) -> None:
        """Look at the plan again."""
        chosen = self.parts.currentRow() if row is None else row
        self.parts.blockSignals(True)
        self.parts.clear()
        self.parts.addItems([_words(line) for line in self.plan.lines])
        self.parts.setCurrentRow(min(max(chosen, 0), self.parts.count() - 1))
        self.parts.blockSignals(False)
        self.arrange.setEnabled(self.plan.is_changed)
        self._show_chosen()

    def say(self, sentence: str) -> None:
        """Say what is wrong; nothing where the sentence is empty."""
        self.trouble.setText(sentence)
        self.trouble.setVisible(bool(sentence))

    def wait(self, is_waiting: bool) -> None:
        """Hold still while what was wished is done."""
        self._body.setEnabled(not is_waiting)
        self.arrange.setEnabled(not is_waiting and self.plan.is_changed)

    @property
    def _line(self) -> PartLine:
        return self.plan.lines[max(self.parts.currentRow(), 0)]

    def _show_chosen(self) -> None:
        line, n_parts = self._line, self.parts.count()
        self.earlier.setEnabled(line.place > 0)
        self.later.setEnabled(line.place + 1 < n_parts)
        found = line.found
        self.take.setEnabled(
            found is not None and found.lead_us is not None and found.lead_us != line.lead_us
        )
        self.gap.setEnabled(line.place > 0)
        self.offset.setPlaceholderText(_HOW if line.place else _FIRST)
        self.offset.setEnabled(line.place > 0)
        self.set_offset.setEnabled(line.place > 0)
        self.offset.setText(offset_text(line.lead_us) if line.place else "")
        self.evidence.setText(" ".join(found.evidence) if found else line.trouble)
        self.evidence.setVisible(bool(self.evidence.text()))

    # What it does

    def _move(self, by: int) -> None:
        self.say("")
        self.refresh(self.plan.move(max(self.parts.currentRow(), 0), by))

    def _take_found(self) -> None:
        self.say("")
        self.plan.take_found(self._line.place)
        self.refresh()

    def _set_offset(self) -> None:
        try:
            self.plan.set_offset(self._line.place, self.offset.text())
        except UserFacingError as trouble:
            self.say(str(trouble))
            return
        self.say("")
        self.refresh()

    def _ask_for_files(self) -> None:
        chooser = QFileDialog(self, "Parts to add")
        chooser.setFileMode(QFileDialog.FileMode.ExistingFiles)
        chooser.setNameFilters([VIDEO_FILES, "All files (*)"])
        chooser.setDirectory(str(Path(self.plan.case.clips[-1].path).parent))
        chooser.filesSelected.connect(self._wish_to_add)
        chooser.open()

    def _wish_to_add(self, paths: list[str]) -> None:
        self.say("")
        self.adding_wished.emit([Path(path) for path in in_natural_order(paths)])

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Return sets an offset or presses the button it is on; it never lays the parts."""
        if event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            super().keyPressEvent(event)

    def _wish(self) -> None:
        self.say("")
        self.wished.emit()


def _words(line: PartLine) -> str:
    """Three lines on a part: what it is, how it lies, what was found."""
    name = shown(Path(line.clip.path).name, 60)
    found = f"  Found: {line.found.words}" if line.found else ""
    if line.place and not line.found:
        found = "  Nobody looked at this join yet."
    lies = line.lies[0].upper() + line.lies[1:]
    away = f"\n     {line.trouble}" if line.trouble else ""
    return f"{line.place + 1}   {name}   {facts(line.clip)}\n     {lies}.{found}{away}"
