"""The Draw leaf: tools, looks, what the chosen mark does over its span, and all marks."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from annotate.marks import Mark, MarkKind, MarkLook
from app.commands.table import action
from app.marks.looks import LOOKS
from app.review.machine_fields import ValueField
from app.review.mark_icons import LOOK_SIZE, TOOL_SIZE, look_icon, tool_icon
from app.review.mark_list import MarkList
from app.review.marking import SEEN_US, Marking
from app.review.wording import tenths

TOOL_WORDS = {
    MarkKind.ARROW: "Arrow",
    MarkKind.RING: "Ring",
    MarkKind.LINE: "Line",
    MarkKind.FREEHAND: "Freehand",
    MarkKind.TEXT: "Text",
    MarkKind.SPOTLIGHT: "Spotlight",
}
_LEAST_PX = 104
_NEXT = f"The next mark is seen for {SEEN_US // 1_000_000} s, or for the span that is looped."
NO_PICTURE = (
    "There is no picture to draw on. Marks that were drawn before can be read, timed and removed."
)


class DrawLeaf(QWidget):
    """Chooses tools and looks, and changes the chosen mark.

    Signals
    -------
    tool_wished
        Id of a tool's action, or an empty text for the hand.
    words_typed, words_kept, words_left
        The words so far, once they are finished, and that they are given up.
    left
        The keys go back to the picture.
    wished
        A case time to go to.
    """

    tool_wished = Signal(str)
    words_typed = Signal(str)
    words_kept = Signal(str)
    words_left = Signal()
    left = Signal()
    wished = Signal(int)

    def __init__(self, marking: Marking, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._marking = marking
        self._presenter = marking.presenter
        self.following_words = ""
        self._asks_words = False
        self._has_picture = True
        self.tools = _group(self, exclusive=False)
        self.looks = _group(self, exclusive=True)
        self.fading = _switch("Fades", "mark-fading")
        self.following = _switch("Follows the tissue", "mark-following")
        self.words = ValueField()
        self.words.setPlaceholderText("Words beside the mark")
        self.words.setAccessibleName("Words of the mark")
        self._of = QLabel()
        self._of.setWordWrap(True)
        self._how = QLabel()
        self._how.setWordWrap(True)
        self._how.setProperty("quiet", True)
        self._how.setAccessibleName("How the mark follows")
        self.starts = _button("Starts here", "The chosen mark is seen from this frame on")
        self.ends = _button("Ends here", "The chosen mark is seen up to this frame")
        self.remove = _button("Remove", "Remove the chosen mark (Delete)")
        self.marks = MarkList(marking)
        self._lay_out()
        self._connect()
        self.show_tool(None)
        self.refresh()

    # Putting together

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addLayout(self._tool_grid())
        column.addLayout(self._look_grid())
        column.addWidget(self._of)
        column.addWidget(self.words)
        column.addLayout(_row(self.fading, self.following))
        column.addWidget(self._how)
        column.addLayout(_row(self.starts, self.ends, self.remove))
        column.addWidget(self.marks, 1)

    def _tool_grid(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setSpacing(4)
        for place, kind in enumerate(MarkKind):
            entry = action(f"draw-{kind.value}")
            button = QToolButton()
            button.setText(TOOL_WORDS[kind])
            button.setIcon(tool_icon(kind))
            button.setIconSize(TOOL_SIZE)
            button.setToolTip(f"{entry.help} ({entry.key})")
            button.setAccessibleName(entry.label)
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
            button.setCheckable(True)
            button.setMinimumWidth(_LEAST_PX)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            self.tools.addButton(button, place)
            grid.addWidget(button, place // 3, place % 3)
        return grid

    def _look_grid(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setSpacing(4)
        for place, look in enumerate(MarkLook):
            button = QToolButton()
            button.setText(LOOKS[look].words.split(",")[0])
            button.setIcon(look_icon(look))
            button.setIconSize(LOOK_SIZE)
            button.setToolTip(f"{LOOKS[look].words} (Alt+C for the next)")
            button.setAccessibleName(f"Style: {LOOKS[look].words}")
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
            button.setCheckable(True)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            self.looks.addButton(button, place)
            grid.addWidget(button, place // 2, place % 2)
        return grid

    def _connect(self) -> None:
        p = self._presenter
        for notifier in (p.markup_changed, p.chosen_changed, self._marking.style_changed):
            notifier.listen(self.refresh)
        self.tools.idClicked.connect(self._press_tool)
        self.looks.idClicked.connect(self._press_look)
        self.fading.clicked.connect(self._press_fading)
        self.following.clicked.connect(self._press_following)
        self.words.textEdited.connect(self.words_typed)
        self.words.kept.connect(lambda: self.words_kept.emit(self.words.text()))
        self.words.left.connect(self.words_left)
        self.starts.clicked.connect(lambda: self._set_edge(is_start=True))
        self.ends.clicked.connect(lambda: self._set_edge(is_start=False))
        self.remove.clicked.connect(self._remove)
        self.marks.wished.connect(self.wished)

    def close_leaf(self) -> None:
        """Listen no more."""
        p = self._presenter
        for notifier in (p.markup_changed, p.chosen_changed, self._marking.style_changed):
            notifier.forget(self.refresh)
        self.marks.close_list()

    # What is shown

    def refresh(self) -> None:
        """Show the chosen mark, or how the next one is made."""
        mark, can_edit = self._marking.chosen, self._presenter.can_edit
        of = self._marking if mark is None else mark
        self.looks.button(list(MarkLook).index(of.look)).setChecked(True)
        self.fading.setChecked(of.is_fading)
        self.following.setChecked(of.is_following)
        can_draw = can_edit and self._has_picture
        for button in self.tools.buttons():
            button.setEnabled(can_draw)
        for button in (*self.looks.buttons(), self.fading):
            button.setEnabled(can_draw or (can_edit and mark is not None))
        self.following.setEnabled(can_draw)
        for widget in (self.starts, self.ends, self.remove):
            widget.setEnabled(can_edit and mark is not None)
        self._show_words(mark)
        following = _NEXT if self._has_picture else NO_PICTURE
        here = (following if can_edit else "") if mark is None else self._span_words(mark)
        self._of.setText(here if can_edit else f"{here} {self._presenter.why_not}".strip())
        self.show_following(self.following_words)

    def _show_words(self, mark: Mark | None) -> None:
        if not self.words.hasFocus():
            self.words.setText("" if mark is None else mark.text)
        self.words.setEnabled(self._presenter.can_edit and (mark is not None or self._asks_words))

    def _span_words(self, mark: Mark) -> str:
        name = self._marking.name(mark)
        return f"{name}, seen from {tenths(mark.start_us)} to {tenths(mark.end_us)}."

    def show_no_picture(self) -> None:
        """Offer only what can be done without a picture."""
        self._has_picture = False
        self.marks.show_no_picture()
        self.refresh()

    def show_tool(self, kind: MarkKind | None) -> None:
        """Show which tool is in hand."""
        for place, each in enumerate(MarkKind):
            self.tools.button(place).setChecked(each is kind)

    def show_following(self, words: str) -> None:
        """Say how the chosen mark follows; nothing where it does not."""
        self.following_words = words
        self._how.setText(words)
        self._how.setVisible(bool(words))

    def ask_words(self, *, is_asked: bool) -> None:
        """Have the words of a new text typed, or no longer."""
        self._asks_words = is_asked
        if is_asked:
            self.words.setEnabled(True)
            self.words.clear()
            self.words.setPlaceholderText("Type the words, then Return")
            self._of.setText("A new text: Return keeps it, Esc leaves it.")
            self.words.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self.words.setPlaceholderText("Words beside the mark")
            self.words.clearFocus()
            self.refresh()

    # What is pressed

    def _press_tool(self, place: int) -> None:
        is_taken = self.tools.button(place).isChecked()
        self.tool_wished.emit(f"draw-{list(MarkKind)[place].value}" if is_taken else "")

    def _press_look(self, place: int) -> None:
        self._marking.set_look(list(MarkLook)[place])
        self.left.emit()

    def _press_fading(self) -> None:
        self._marking.set_fading(is_fading=self.fading.isChecked())
        self.left.emit()

    def _press_following(self) -> None:
        self._marking.set_following(is_following=self.following.isChecked())
        self.left.emit()

    def _set_edge(self, *, is_start: bool) -> None:
        self._marking.set_edge_here(is_start=is_start)
        self.left.emit()

    def _remove(self) -> None:
        self._marking.remove_chosen()
        self.left.emit()


def _group(parent: QWidget, *, exclusive: bool) -> QButtonGroup:
    group = QButtonGroup(parent)
    group.setExclusive(exclusive)
    return group


def _row(*widgets: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(4)
    for widget in widgets:
        row.addWidget(widget)
    return row


def _switch(words: str, action_id: str) -> QToolButton:
    entry = action(action_id)
    button = QToolButton()
    button.setText(words)
    button.setCheckable(True)
    button.setToolTip(f"{entry.help} ({entry.key})")
    button.setAccessibleName(entry.label)
    button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
    return button


def _button(words: str, help_words: str) -> QPushButton:
    button = QPushButton(words)
    button.setToolTip(help_words)
    return button
