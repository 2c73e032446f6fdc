"""The dialog that takes a case in: files in order, who operated, which case of theirs.

It stays open while the clips are read, and keeps what was entered until the case is in.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QIntValidator
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from annotate.case import Eye
from annotate.errors import UserFacingError
from annotate.people import Operator, TrainingLevel, check_code
from app.caseload.clip_list import ClipList
from app.caseload.intake_foot import IntakeFoot
from app.intake.take_in import MOST_CASES, Intake, check_wanted
from app.jobs.work import Work
from app.look.screen_room import ScrolledBody, keep_on_screen
from app.vocabulary.own import titles

_NO_LEVEL = "choose ..."
_FOOT_GAP_PX = 6


class NumberLine(QLineEdit):
    """A line that takes a case number; what is no number counts as 0, which is refused."""

    def __init__(self) -> None:
        super().__init__("1")
        self.setValidator(QIntValidator(1, MOST_CASES, self))
        self.setAccessibleName("Case number")

    def value(self) -> int:
        """The number typed."""
        text = self.text().strip()
        return int(text) if text.isascii() and text.isdigit() else 0

    def set_value(self, number: int) -> None:
        """Show a number."""
        self.setText(str(number))


class IntakeDialog(QDialog):
    """Asks for what an intake needs; checks as far as it can before the work begins.

    Parameters
    ----------
    next_number : callable
        Given an operator's code, the number of their next case.
    operators : sequence of Operator
        Those who are known, with their training level.
    codes : collection of str
        Codes of the cases there are.

    Signals
    -------
    wished
        An `Intake` that may be worked on; whoever does it calls `begin`, then `refuse`, or accepts
        the dialog.
    stop_wished
        The work that was begun is to stop.
    """

    wished = Signal(object)
    stop_wished = Signal()

    def __init__(
        self,
        next_number: Callable[[str], int],
        parent: QWidget | None = None,
        *,
        operators: Sequence[Operator] = (),
        codes: Collection[str] = (),
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Take in a case")
        self._next_number = next_number
        self._levels = {operator.code: operator.level for operator in operators}
        self._codes = codes
        self._suggested_for = ""
        self._concerned: QWidget | None = None
        self.clips = ClipList()
        self.operator = QLineEdit()
        self.operator.setPlaceholderText("a code such as R-07, never a name")
        self.level = QComboBox()
        self.level.addItem(_NO_LEVEL, None)
        for level in TrainingLevel:
            self.level.addItem(level.value, level.value)
        self.number = NumberLine()
        self.vocabulary = QComboBox()
        for name, title in titles().items():
            self.vocabulary.addItem(title, name)
        self.vocabulary.setCurrentIndex(max(self.vocabulary.findData("phaco-divide-conquer"), 0))
        self.eye = QComboBox()
        for words, eye in (("not noted", None), ("right (OD)", Eye.OD), ("left (OS)", Eye.OS)):
            self.eye.addItem(words, eye.value if eye else None)
        self.code = QLineEdit()
        self.code.setPlaceholderText("made from operator and case number if left empty")
        self.foot = IntakeFoot()
        self._lay_out()
        self._listen()
        hint = self.sizeHint()
        self.resize(max(hint.width(), 580), hint.height() + self.foot.height() + _FOOT_GAP_PX)
        keep_on_screen(self)

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.setLabelAlignment(Qt.AlignmentFlag.AlignRight)
        form.addRow("Operator", self.operator)
        form.addRow("Training level", self.level)
        form.addRow("Case number", self.number)
        form.addRow("Operation", self.vocabulary)
        form.addRow("Eye", self.eye)
        form.addRow("Code of the case", self.code)
        self.body = QWidget()
        body = QVBoxLayout(self.body)
        body.setContentsMargins(2, 2, 2, 2)
        body.setSpacing(10)
        body.addWidget(QLabel("Clips of the case, in the order in which they were recorded"))
        body.addWidget(self.clips)
        body.addLayout(form)
        box = QDialogButtonBox()
        self.leave = box.addButton("Leave it", QDialogButtonBox.ButtonRole.RejectRole)
        self.take_in = box.addButton("Take in", QDialogButtonBox.ButtonRole.AcceptRole)
        self.take_in.setDefault(True)
        box.accepted.connect(self.submit)
        box.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        self._scrolled = ScrolledBody(self.body)
        column.addWidget(self._scrolled, 1)
        column.addWidget(self.foot)
        column.addWidget(box)

    def _listen(self) -> None:
        self.operator.editingFinished.connect(self._suggest)
        self.clips.changed.connect(lambda: self._edited(self.clips))
        for line in (self.operator, self.number, self.code):
            line.textEdited.connect(lambda _text, field=line: self._edited(field))
        self.level.activated.connect(lambda _place: self._edited(self.level))

    @property
    def trouble(self) -> str:
        """What is said to be wrong."""
        return self.foot.trouble

    def add_files(self, paths: list[str]) -> None:
        """Add clips after those already named."""
        self.clips.add(paths)

    def wanted(self) -> Intake:
        """What the dialog says now."""
        level, eye = self.level.currentData(), self.eye.currentData()
        return Intake(
            paths=self.clips.paths,
            operator=self.operator.text().strip(),
            case_number=self.number.value(),
            vocabulary=self.vocabulary.currentData(),
            code=self.code.text().strip(),
            level=TrainingLevel(level) if level else TrainingLevel.RESIDENT,
            eye=Eye(eye) if eye else None,
        )

    def submit(self) -> None:
        """Wish for the case to be taken in, or say what is wrong."""
        self._suggest()
        self.clips.unmark()
        wrong = self._wrong()
        if wrong is not None:
            self._refuse(*wrong)
            return
        self.foot.say("")
        self.wished.emit(self.wanted())

    def _wrong(self) -> tuple[QWidget, str] | None:
        """The first field that can't be so, and why."""
        wanted = self.wanted()
        if not wanted.paths:
            return self.clips, "No clip is named. Add the files of the case in order."
        if not wanted.operator:
            return self.operator, "Say who operated, as a code such as R-07."
        try:
            check_code(wanted.operator, "operator")
        except UserFacingError as trouble:
            return self.operator, str(trouble)
        if self.level.currentData() is None:
            return self.level, f"Choose the training level of {wanted.operator}."
        if not self.number.value():
            return self.number, "Say which case of the operator's it was: 1 for the first."
        if wanted.case_code in self._codes:
            sentence = f"There is a case {wanted.case_code} already. "
            return self.code, sentence + "Give this one another code, or another case number."
        try:
            check_wanted(wanted)
        except UserFacingError as trouble:
            is_clip = self.clips.mark_named_in(str(trouble))
            return self.clips if is_clip else self.code, str(trouble)
        return None

    def begin(self, work: Work) -> None:
        """Show that the wish is worked on."""
        self.body.setEnabled(False)
        self.take_in.setEnabled(False)
        self.leave.setText("Stop")
        self.foot.follow(work)

    def refuse(self, sentence: str) -> None:
        """Say why the work came to nothing; all that was entered is still there."""
        self._end()
        is_clip = self.clips.mark_named_in(sentence)
        self._refuse(self.clips if is_clip else self.code, sentence)

    def reject(self) -> None:
        """Leave; while the work runs, stop the work first."""
        if self.foot.is_following:
            self.stop_wished.emit()
            self._end()
            self.foot.say("Stopped. Nothing was taken in.")
            return
        super().reject()

    def _end(self) -> None:
        self.foot.let_go()
        self.body.setEnabled(True)
        self.take_in.setEnabled(True)
        self.leave.setText("Leave it")

    def _refuse(self, field: QWidget, sentence: str) -> None:
        self._concerned = field
        self.foot.say(sentence)
        if (layout := self.layout()) is not None:
            layout.activate()  # the foot has taken its room
        target = self._focus_of(field)
        target.setFocus(Qt.FocusReason.OtherFocusReason)
        self._scrolled.ensureWidgetVisible(target)
        if isinstance(target, QLineEdit):
            target.selectAll()

    def _focus_of(self, field: QWidget) -> QWidget:
        if field is not self.clips:
            return field
        return self.clips.files if self.clips.paths else self.clips.add_button

    def _edited(self, field: QWidget) -> None:
        """Take back what was said of a field once it is changed."""
        if field is self._concerned or (field is self.number and self._concerned is self.code):
            self._concerned = None
            self.clips.unmark()
            self.foot.say("")

    def _suggest(self) -> None:
        """Fill in what is known of an operator: their training level and their next case."""
        operator = self.operator.text().strip()
        if not operator or operator == self._suggested_for:
            return
        self._suggested_for = operator
        self.number.set_value(self._next_number(operator))
        known = self._levels.get(operator)
        self.level.setCurrentIndex(self.level.findData(known.value) if known else 0)
        self.level.setEnabled(known is None)
        self.level.setToolTip(f"As it is known of {operator}." if known else "")
