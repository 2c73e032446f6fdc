"""The review screen: picture, timeline, tag pad, comments, put together.

No decision is taken here; keys and pointer go to the presenter, and what it tells is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLayout, QVBoxLayout, QWidget

from annotate.clip import CaseReader
from annotate.clock import format_time
from annotate.ids import RowId
from app.look.theme import current_palette
from app.review.comment_box import CommentBox, CommentList
from app.review.figures_line import FiguresLine
from app.review.picture import PictureView
from app.review.picture_feed import PictureFeed, fitted_size
from app.review.presenter import US_PER_S, ReviewPresenter
from app.review.session_choice import SessionChoice
from app.review.tag_pad import TagPad
from app.review.timeline import TimelineView
from app.review.transport import Transport

_SIDE_PX = 392
_TIMELINE_PX = 150


class ReviewView(QWidget):
    """The screen of one session.

    Parameters
    ----------
    open_reader : callable or None
        Opens the clips, on the feed's thread; None for a case known by its tags alone.
    reviewers : sequence of str
        Codes of all who have a session on this case, to choose from.
    """

    said = Signal(str)

    def __init__(
        self,
        presenter: ReviewPresenter,
        open_reader: Callable[[], CaseReader] | None,
        reviewers: Sequence[str] = (),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.presenter = presenter
        self.picture = PictureView()
        self.timeline = TimelineView(presenter, current_palette())
        self.transport = Transport(presenter)
        self.pad = TagPad(presenter)
        self.comment_box = CommentBox(presenter)
        self.comments = CommentList(presenter)
        self.figures_line = FiguresLine(presenter)
        self.sessions = SessionChoice(presenter, reviewers)
        self.feed: PictureFeed | None = None
        self._n_frames = 0
        self._lay_out()
        self._connect()
        if open_reader is None:
            self.picture.say(
                "This case is known by its tags alone; there is no clip to show.\n"
                "The timeline and the figures are complete."
            )
        else:
            self._open_feed(open_reader)

    # Putting together

    def _lay_out(self) -> None:
        left = QVBoxLayout()
        left.setSpacing(0)
        left.addWidget(self.picture, 1)
        left.addWidget(self.transport)
        self.timeline.setFixedHeight(_TIMELINE_PX)
        left.addWidget(self.timeline)
        side = QWidget()
        side.setFixedWidth(_SIDE_PX)
        column = QVBoxLayout(side)
        column.setContentsMargins(10, 4, 10, 6)
        column.setSpacing(4)
        column.addLayout(self._title())
        column.addWidget(self.pad)
        column.addWidget(self.figures_line)
        column.addWidget(self.comment_box)
        column.addWidget(self.comments, 1)
        column.addStretch(0)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addLayout(left, 1)
        row.addWidget(side)

    def _title(self) -> QLayout:
        case = self.presenter.case
        eye = f", {case.eye.value}" if case.eye else ""
        model = ", model case" if case.is_model else ""
        label = QLabel(
            f"<b>{case.code}</b>  case {case.case_number} of {case.operator.code}{eye}{model}"
        )
        label.setTextFormat(Qt.TextFormat.RichText)
        row = QHBoxLayout()
        row.addWidget(label, 1)
        row.addWidget(self.sessions)
        return row

    def _connect(self) -> None:
        presenter = self.presenter
        presenter.said.listen(self._say)
        presenter.playhead_moved.listen(self._show_where)
        self.timeline.wished.connect(self._travel)
        self.timeline.chosen.connect(self._choose)
        self.pad.pressed.connect(self._press_term)
        self.transport.wished.connect(self.act)
        self.comment_box.left.connect(self._give_keys_back)
        self.comments.wished.connect(self._go_to_comment)
        self.comments.change_wished.connect(self.comment_box.edit)
        self.picture.room_changed.connect(self._fit)

    def _open_feed(self, open_reader: Callable[[], CaseReader]) -> None:
        self.picture.say("Opening the clip ...")
        self.feed = PictureFeed(open_reader, self)
        self.feed.opened.connect(self._show_first)
        self.feed.failed.connect(self.picture.say)
        self.feed.picture_came.connect(self._show_picture)
        self.feed.clip_ended.connect(self._stop_at_end)

    # From the feed

    def _show_first(self) -> None:
        if self.feed is None or self.feed.reader_facts is None:
            return
        self._n_frames = self.feed.reader_facts[0]
        self._fit()
        self.feed.show_number(self.feed.number_at(self.presenter.playhead_us))

    def _show_picture(self) -> None:
        shown = self.feed.take() if self.feed else None
        if shown is None:
            return
        marks = tuple(
            mark
            for mark in self.presenter.markup.marks
            if mark.start_us < shown.until_us and shown.time_us < mark.end_us
        )
        self.picture.show_picture(shown, marks)
        self.presenter.move_playhead(shown.time_us)

    def _stop_at_end(self) -> None:
        self.presenter.set_playing(False)

    def _fit(self) -> None:
        if self.feed is None or self.feed.reader_facts is None:
            return
        self.feed.fit(*fitted_size(self.feed.reader_facts[2], self.picture.room()))
        if not self.presenter.is_playing and self.picture.shown_number is not None:
            self.feed.show_number(self.picture.shown_number)

    # What keys and buttons do

    def act(self, action_id: str) -> bool:
        """Do a named action; False if it is none of this screen's."""
        deed = self._deeds().get(action_id)
        if deed is None:
            return False
        deed()
        return True

    def _deeds(self) -> dict[str, Callable[[], object]]:
        p = self.presenter
        return {
            "play": self.toggle_play,
            "step-on": lambda: self._step(1),
            "step-back": lambda: self._step(-1),
            "second-on": lambda: self._travel(p.playhead_us + US_PER_S),
            "second-back": lambda: self._travel(p.playhead_us - US_PER_S),
            "tag-on": lambda: self._travel_to_neighbour(1),
            "tag-back": lambda: self._travel_to_neighbour(-1),
            "case-start": lambda: self._travel(0),
            "case-end": lambda: self._travel(p.length_us),
            "slower": lambda: self._set_speed(p.next_speed(-1)),
            "faster": lambda: self._set_speed(p.next_speed(1)),
            "as-filmed": lambda: self._set_speed(1.0),
            "undo": p.undo,
            "redo": p.redo,
            "remove": p.remove_chosen,
            "hand-over": p.press_hand_over,
            "write-comment": self.comment_box.begin,
            "whole-case": self.timeline.show_whole,
        }

    def toggle_play(self) -> None:
        """Run or stand."""
        if self.feed is None or not self._n_frames:
            return
        if self.presenter.is_playing:
            self._stand()
            return
        number = self._number()
        number = 0 if number >= self._n_frames - 1 else number
        self.presenter.set_playing(True)
        self.feed.play(number, self.presenter.speed)

    def _stand(self) -> None:
        self.presenter.set_playing(False)
        if self.feed is not None:
            self.feed.show_number(self._number())

    def _number(self) -> int:
        shown = self.picture.shown_number
        if shown is not None:
            return shown
        return self.feed.number_at(self.presenter.playhead_us) if self.feed else 0

    def _step(self, by: int) -> None:
        if self.presenter.is_playing:
            self.presenter.set_playing(False)
        self._show_number(self._number() + by)

    def _show_number(self, number: int) -> None:
        if self.feed is not None and self._n_frames:
            self.feed.show_number(max(0, min(number, self._n_frames - 1)))

    def go_to_number(self, number: int) -> None:
        """Show a frame by its number, and stand still."""
        self.presenter.set_playing(False)
        self._show_number(number)

    def _travel(self, time_us: int) -> None:
        """Go to a case time; a running clip runs on from there."""
        time_us = max(0, min(time_us, self.presenter.length_us))
        if self.feed is None or not self._n_frames:
            self.presenter.move_playhead(time_us)
            return
        number = self.feed.number_at(time_us)
        if self.presenter.is_playing:
            self.feed.play(number, self.presenter.speed)
        else:
            self.feed.show_number(number)

    def go_to_time(self, time_us: int) -> None:
        """Go to a case time."""
        self._travel(time_us)

    def _travel_to_neighbour(self, direction: int) -> None:
        time_us = self.presenter.neighbour_us(direction)
        if time_us is not None:
            self._travel(time_us)

    def _set_speed(self, speed: float) -> None:
        self.presenter.set_speed(speed)
        if self.presenter.is_playing and self.feed is not None:
            self.feed.play(self._number(), speed)

    def _choose(self, row_id: RowId | None) -> None:
        self.presenter.choose(row_id)

    def _press_term(self, term: object) -> None:
        self.presenter.press(term)  # type: ignore[arg-type]
        self._give_keys_back()

    def _go_to_comment(self, time_us: int, row_id: RowId) -> None:
        self.presenter.choose(row_id)
        self._travel(time_us)

    def _give_keys_back(self) -> None:
        self.picture.setFocus(Qt.FocusReason.OtherFocusReason)

    def _say(self, sentence: str) -> None:
        self.said.emit(sentence)

    def _show_where(self) -> None:
        time_us = self.presenter.playhead_us
        number = self.picture.shown_number or 0
        self.transport.show_where(time_us, number, self._n_frames)
        self.picture.setAccessibleDescription(format_time(time_us))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.timeline.abort_drag()
            return
        plain = Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier
        is_plain = not event.modifiers() & ~plain
        if event.isAutoRepeat() or not is_plain or not self.presenter.press_key(event.text()):
            super().keyPressEvent(event)

    def close_session(self) -> None:
        """Leave: stop the feed and end what runs at the playhead."""
        self.presenter.set_playing(False)
        if not self.presenter.is_signed:
            self.presenter.end_running()
        if self.feed is not None:
            self.feed.close()
            self.feed = None
