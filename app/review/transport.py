"""The row under the picture: travelling, speed, loop, sound, and where one is."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QToolButton, QWidget

from annotate.clock import format_time, short_time
from app.commands.table import action
from app.review.presenter import ReviewPresenter
from app.review.sound_control import SoundControl, keep_width
from app.review.state_label import StateLabel
from app.review.tag_icons import TagButton
from app.review.transport_more import OFFERED, MorePanel
from app.review.transport_room import SPACING_PX, groups_shown

_TRAVEL = (
    ("tag-back", " Tag", "tags"),
    ("second-back", "−1 s", "seconds"),
    ("step-back", "◁", "steps"),
    ("play", "▶", ""),
    ("step-on", "▷", "steps"),
    ("second-on", "+1 s", "seconds"),
    ("tag-on", "Tag ", "tags"),
)
"""Action, face and group; what has no group is always shown."""
_ORDER = ("steps", "seconds", "tags", "speed", "look", "loop", "length", "sound", "volume")
"""Groups, from the one wanted most to the one that goes first where there is little room."""
_NEEDS_CLIP = ("play", "step-back", "step-on", "slower", "faster", "loop", "look-panel")
_MARGIN_PX = 6
_LEAST_STATE_PX = 32
"""Room for the words in the middle, before anything else is shown."""


class Transport(QWidget):
    """Buttons for travelling, each with its key in the tooltip, and words on how it stands.

    Signals
    -------
    wished
        Id of an action.
    """

    wished = Signal(str)

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._has_clip = True
        self._buttons: dict[str, QToolButton] = {}
        self._groups: dict[str, list[QWidget]] = {name: [] for name in _ORDER}
        self._pace_words, self._look_words = ("", ""), ("", "")
        self._field_words = ""
        self._where_us, self._n_frames = 0, 0
        self.hidden_groups: frozenset[str] = frozenset()
        self._number: int | None = None
        self.setStyleSheet("QToolButton { padding: 2px 4px; }")  # all fit a narrow screen
        row = QHBoxLayout(self)
        row.setContentsMargins(_MARGIN_PX, 2, _MARGIN_PX, 2)
        row.setSpacing(SPACING_PX)
        for action_id, face, group in _TRAVEL:
            row.addWidget(self._button(action_id, face, group))
        row.addWidget(self._button("slower", "−", "speed"))
        self._speed = self._label("Speed")
        self._speed.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._speed.setMinimumWidth(self._speed.fontMetrics().horizontalAdvance("× 0.25"))
        self._groups["speed"].append(self._speed)
        row.addWidget(self._speed)
        row.addWidget(self._button("faster", "+", "speed"))
        row.addWidget(self._button("loop", "Loop", "loop"))
        self._buttons["loop"].setCheckable(True)
        keep_width(self._buttons["play"], ("❚❚", "▶"))
        keep_width(self._buttons["loop"], ("Loop", "from", "to"))
        self._state = StateLabel("How the picture is shown")
        row.addWidget(self._state, 1)
        self.sound = SoundControl(self)
        self.sound.wished.connect(self.wished)
        self._groups["sound"].append(self.sound.button)
        self._groups["volume"].append(self.sound.slider)
        row.addWidget(self.sound.button)
        row.addWidget(self.sound.slider)
        row.addWidget(self._button("look-panel", "Tone", "look"))
        self._buttons["look-panel"].setCheckable(True)
        self._where = self._button("go-to", "", "")
        self._where.setAccessibleName("Time and frame")
        row.addWidget(self._where)
        self.more = self._more_button()
        row.addWidget(self.more)
        self.room: QWidget | None = None
        """What the panel of More may lie over; what holds the transport, if not said."""
        self.panel = MorePanel(self.sound, self)
        self.panel.wished.connect(self._wish)
        presenter.play_changed.listen(self.refresh)
        presenter.markup_changed.listen(self.refresh)
        presenter.loop_changed.listen(self.refresh)
        self.refresh()

    def _label(self, name: str) -> QLabel:
        label = QLabel("")
        label.setAccessibleName(name)
        return label

    def _button(self, action_id: str, face: str, group: str) -> QToolButton:
        entry = action(action_id)
        is_tag = group == "tags"
        button = TagButton(is_next=action_id == "tag-on") if is_tag else QToolButton()
        button.setText(face)
        button.setToolTip(f"{entry.label} ({entry.key})")
        button.setAccessibleName(entry.label)
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        button.setProperty("action", action_id)
        button.clicked.connect(self._press)
        self._buttons[action_id] = button
        if group:
            self._groups[group].append(button)
        return button

    def _more_button(self) -> QToolButton:
        button = QToolButton()
        button.setText("More")
        button.setToolTip("What there is no room for here")
        button.setAccessibleName("More controls")
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.clicked.connect(self._open_more)
        return button

    def _open_more(self) -> None:
        if self.panel.isVisible():
            self.panel.hide()
            return
        self.panel.show_groups(self.hidden_groups)
        self.panel.open_at(self.more, self.room or self.parentWidget() or self)

    def _press(self) -> None:
        self._wish(self.sender().property("action"))

    def _wish(self, action_id: str) -> None:
        self.wished.emit(action_id)
        self.refresh()

    # How it stands

    def refresh(self) -> None:
        """Show speed, play or pause, and the loop."""
        presenter = self._presenter
        self._buttons["play"].setText("❚❚" if presenter.is_playing else "▶")
        self._speed.setText(f"× {presenter.speed:g}")
        loop, entry = self._buttons["loop"], action("loop")
        edge = presenter.edge_words()
        loop.setChecked(presenter.loop is not None)
        loop.setText(edge.split()[0] if edge else "Loop")
        name = presenter.loop_name()
        words = presenter.loop_words() + (f": {name}" if name else "")
        loop.setToolTip(f"{words}\n{entry.label} ({entry.key})")
        loop.setAccessibleDescription(words)
        self.panel.show_state(
            presenter.speed, words, has_loop=loop.isChecked(), has_clip=self._has_clip
        )
        self._show_state()
        self._arrange()

    def show_pace(self, words: tuple[str, str]) -> None:
        """Say, long and short, which frames are shown at this speed and how fast it really is."""
        self._pace_words = words
        self._show_state()

    def show_look(self, words: tuple[str, str]) -> None:
        """Say, long and short, how the picture differs from what was filmed."""
        self._look_words = words
        self._show_state()

    def show_field(self, words: str) -> None:
        """Say which field is shown, where it is not a whole frame."""
        if words != self._field_words:
            self._field_words = words
            self._show_state()

    def show_panel_open(self, is_open: bool) -> None:
        """Show whether the panel of the picture's looks is open."""
        self._buttons["look-panel"].setChecked(is_open)

    @property
    def state_words(self) -> str:
        """All that is said in the middle, whether or not there is room for it."""
        edges = self._presenter.loop_edges
        loop = self._presenter.loop_words() if edges != (None, None) else ""
        return _joined(self._pace_words[0], self._field_words, loop, self._look_words[0])

    def _show_state(self) -> None:
        loop = self._presenter.edge_words()
        short = _joined(self._pace_words[1], self._field_words, loop, self._look_words[1])
        self._state.say(self.state_words, short)

    def set_has_clip(self, has_clip: bool) -> None:
        """Let the buttons that need a picture work, or not."""
        self._has_clip = has_clip
        for action_id in _NEEDS_CLIP:
            self._buttons[action_id].setEnabled(has_clip)
        self.refresh()

    def show_where(self, time_us: int, number: int | None, n_frames: int) -> None:
        """Show the time, and the frame's number where there is a picture."""
        self._where_us, self._number, self._n_frames = time_us, number, n_frames
        entry = action("go-to")
        words = f"{entry.label} ({entry.key})"
        if number is not None:
            words = f"Frames go from 0 to {n_frames - 1}.\n{words}"
        self._where.setToolTip(words)
        if self._where.minimumWidth() < self._where_px(self._is_length_shown):
            self._arrange()
        self._write_where()

    # Room

    @property
    def _is_length_shown(self) -> bool:
        return bool(self._where.property("shows-length"))

    def _where_words(self, time_us: int, number: int | None, has_length: bool) -> str:
        words = format_time(time_us)
        if has_length:
            words += f" of {short_time(self._presenter.length_us)}"
        return words if number is None else f"{words}  frame {number}"

    def _write_where(self) -> None:
        words = self._where_words(self._where_us, self._number, self._is_length_shown)
        self._where.setText(words)
        self._where.setAccessibleDescription(words)

    def _where_px(self, has_length: bool) -> int:
        """Width of the longest that is written there, so that nothing jumps while it runs."""
        number = None if self._number is None else max(self._n_frames - 1, 0)
        words = self._where_words(self._presenter.length_us, number, has_length)
        widest = "".join("0" if letter.isdigit() else letter for letter in words)
        return self._where.fontMetrics().horizontalAdvance(widest) + 14

    def _arrange(self) -> None:
        """Show what there is room for; whatever else can be pressed is on the panel of More."""
        always = [self._buttons[a] for a, _, group in _TRAVEL if not group]
        fixed = sum(_width_of(button) + SPACING_PX for button in always)
        fixed += self._where_px(False) + 2 * _MARGIN_PX
        widths = [
            (name, sum(_width_of(w) + SPACING_PX for w in members) - SPACING_PX)
            for name, members in self._groups.items()
            if name != "length"
        ]
        widths.append(("length", self._where_px(True) - self._where_px(False)))
        fixed += _LEAST_STATE_PX
        shown = groups_shown(widths, fixed, self.width(), _ORDER)
        if OFFERED - shown:
            fixed += _width_of(self.more) + SPACING_PX
            shown = groups_shown(widths, fixed, self.width(), _ORDER)
        self.hidden_groups = OFFERED - shown
        self.more.setVisible(bool(self.hidden_groups))
        length = f"The case lasts {short_time(self._presenter.length_us)}"
        self.panel.say_length("" if "length" in shown else length)
        if self.panel.isVisible():
            self.panel.show_groups(self.hidden_groups)
        for name, members in self._groups.items():
            for widget in members:
                widget.setVisible(name in shown and (self._has_clip or name != "speed"))
        has_length = "length" in shown
        self._where.setProperty("shows-length", has_length)
        self._where.setFixedWidth(self._where_px(has_length))
        self._write_where()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def minimumSizeHint(self) -> QSize:
        """What is always shown; the rest comes and goes."""
        always = [self._buttons[a] for a, _, group in _TRAVEL if not group]
        width = sum(_width_of(button) + SPACING_PX for button in (*always, self.more))
        return QSize(
            width + self._where_px(False) + 2 * _MARGIN_PX, super().minimumSizeHint().height()
        )


def _joined(*parts: str) -> str:
    return " · ".join(part for part in parts if part)


def _width_of(widget: QWidget) -> int:
    """What a widget takes in a row."""
    return min(max(widget.sizeHint().width(), widget.minimumWidth()), widget.maximumWidth())
