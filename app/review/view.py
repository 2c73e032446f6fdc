"""The review screen: picture, timeline, tag pad, comments, put together.

No decision is taken here; keys and pointer go to the presenter, and what it tells is shown.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from annotate.clock import format_time
from annotate.ids import RowId
from annotate.tags import Comment
from app.look.theme import current_palette
from app.playing.shown import CaseToPlay
from app.review.case_looks import CaseLooks
from app.review.held_keys import HeldKeys
from app.review.keeping_watched import KeepingWatched
from app.review.look_panel import LookPanel
from app.review.looks import Looks
from app.review.machine_deeds import join_machine
from app.review.mark_desk import MarkDesk
from app.review.no_clip import NoClip
from app.review.other_review import OtherReview
from app.review.panes import Panes
from app.review.picture import PictureView
from app.review.player import Player
from app.review.presenter import ReviewPresenter
from app.review.session_deeds import join_sessions
from app.review.side import Side
from app.review.sound_knob import SoundKnob
from app.review.tagging_tools import TaggingTools
from app.review.timeline import TimelineView
from app.review.timeline_pictures import TimelinePictures
from app.review.transport import Transport
from app.review.transport_state import TransportState
from app.review.typed_place import TypedPlace, typed_place
from app.review.under_band import UnderBand
from app.review.view_deeds import view_deeds

_TIMELINE_PX = 150


class ReviewView(QWidget):
    """The screen of one session.

    Parameters
    ----------
    opening : callable or None
        Finds the clips, on the feed's thread; None where there is no clip to show.
    no_clip_sentence : str
        Stands in place of the picture where a clip is not found; else it says what to do.

    Signals
    -------
    said
        Why something was refused, to be said until it is not.
    told
        What was done.
    """

    said = Signal(str)
    told = Signal(str)

    def __init__(
        self,
        presenter: ReviewPresenter,
        opening: Callable[[], CaseToPlay] | None,
        parent: QWidget | None = None,
        no_clip_sentence: str = "",
    ) -> None:
        super().__init__(parent)
        self.presenter = presenter
        self.picture = PictureView()
        self.timeline = TimelineView(presenter, current_palette())
        self.small_pictures = TimelinePictures(
            presenter, self.timeline, self._frame_at, self.picture, self
        )
        self.transport = Transport(presenter)
        self.side = Side(presenter)
        self.pad, self.comment_box = self.side.pad, self.side.comment_box
        self.chosen_line, self.comments = self.side.chosen_line, self.side.comments
        self.figures_line, self.sessions = self.side.figures_line, self.side.sessions
        self.look_panel = LookPanel(self)
        self.looks = Looks(self.picture, presenter.case.id, CaseLooks(), self)
        self.sound_knob = SoundKnob(self.transport.sound, self)
        self.keeping_watched = KeepingWatched(presenter.store, presenter, self)
        self.other_review = OtherReview(presenter)
        self.under_band = UnderBand(presenter, self.timeline, self.keeping_watched)
        self.under_band.show_other(self.other_review)
        self.held_keys = HeldKeys(self)
        self._lay_out()
        self.player = Player(presenter, self.picture, opening, self)
        self.player.small_near = self.small_pictures.pictures.nearest
        self.transport.set_has_clip(opening is not None)
        self._connect()
        self.marks = MarkDesk(self, self._give_keys_back)
        self._state = TransportState(self)
        self.tagging = TaggingTools(self)
        self.side.show_whether_editable()
        self.no_clip = NoClip(self, no_clip_sentence) if opening is None else None

    # Putting together

    def _lay_out(self) -> None:
        above, below = QWidget(), QWidget()
        for pane, widgets in (
            (above, (self.picture, self.transport)),
            (below, (self.small_pictures.band, self.under_band, self.timeline)),
        ):
            column = QVBoxLayout(pane)
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(0)
            for widget in widgets:
                column.addWidget(widget, int(widget in (self.picture, self.timeline)))
        self.timeline.setMinimumHeight(_TIMELINE_PX)
        self.panes = Panes(above, below, self.side, self)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.panes)
        self.transport.room = self
        self.comment_box.list.room = self
        self.look_panel.lie_by(self.side, self.picture)

    def _connect(self) -> None:
        presenter = self.presenter
        presenter.said.listen(self._say)
        presenter.playhead_moved.listen(self._show_where)
        presenter.markup_changed.listen(self.side.show_whether_editable)
        self.timeline.wished.connect(self.player.go_to_time)
        self.timeline.passed.connect(self.player.pass_by)
        self.timeline.chosen.connect(self._choose)
        self.timeline.change_wished.connect(self.change_comment)
        self.timeline.wished_action.connect(self.act)
        self.pad.pressed.connect(self._press_term)
        self.pad.hand_over_pressed.connect(presenter.press_hand_over)
        self.transport.wished.connect(self.act)
        self.look_panel.wished.connect(self.act)
        self.look_panel.tone_wished.connect(self.picture.set_tone)
        self.look_panel.left.connect(self._give_keys_back)
        self.looks.said.connect(self.said)
        self.chosen_line.wished.connect(self.act)
        self.comment_box.left.connect(self._give_keys_back)
        self.comment_box.told.connect(self.told)
        self.side.history.told.connect(self.told)
        self.side.history.left.connect(self._give_keys_back)
        self.comments.wished.connect(self._go_to_comment)
        join_sessions(self)
        self.comments.change_wished.connect(self.comment_box.edit)
        join_machine(self, self._give_keys_back)

    # What keys and buttons do

    def act(self, action_id: str) -> bool:
        """Do a named action; False if it is none of this screen's."""
        deed = view_deeds(self).get(action_id)
        if deed is None:
            return False
        deed()
        return True

    def toggle_side(self) -> None:
        """Hide the side column, or show it."""
        self.side.setVisible(self.side.isHidden())
        self._give_keys_back()

    def write_comment(self) -> None:
        """Begin a comment."""
        if not self.presenter.is_refused():
            self._show_tag_leaf()
            self.held_keys.let_go()
            self.comment_box.begin()

    def change_comment(self) -> None:
        """Put the chosen comment into the box."""
        row = self.presenter.row(self.presenter.chosen)
        if isinstance(row, Comment) and not self.presenter.is_refused():
            self._show_tag_leaf()
            self.comment_box.edit(row)

    def _show_tag_leaf(self) -> None:
        self.side.show()
        self.side.leaves.turn_to("tag")

    def _choose(self, row_id: RowId | None) -> None:
        self.presenter.choose(row_id)

    def _press_term(self, term: object) -> None:
        self.presenter.press(term)  # type: ignore[arg-type]
        self._give_keys_back()

    def _go_to_comment(self, time_us: int, row_id: RowId) -> None:
        self.presenter.choose(row_id)
        self.player.go_to_time(time_us)

    def _give_keys_back(self) -> None:
        self.picture.setFocus(Qt.FocusReason.OtherFocusReason)

    def _say(self, sentence: str) -> None:
        self.said.emit(sentence)

    def _show_where(self) -> None:
        time_us = self.presenter.playhead_us
        number = self.player.number if self.picture.shown_number is not None else None
        self.transport.show_where(time_us, number, self.player.n_frames)
        self.picture.setAccessibleDescription(format_time(time_us))

    def _frame_at(self, time_us: int) -> tuple[int, int] | None:
        """Number and time of the frame shown at a case time; None until the clips are open."""
        feed = self.player.feed
        if feed is None or not self.player.n_frames:
            return None
        number = feed.number_at(time_us)
        return number, feed.time_of(number)

    def go_to_time(self, time_us: int) -> None:
        """Go to a case time."""
        self.player.go_to_time(time_us)

    def go_to_number(self, number: int) -> None:
        """Show a frame by its number, and stand still."""
        self.player.go_to_number(number)

    def go_to_typed(self, text: str) -> None:
        """Go to a time or a frame as somebody typed it.

        Raises
        ------
        UserFacingError
            If it is no place in this case.
        """
        place: TypedPlace = typed_place(text, self.presenter.length_us, self.player.n_frames)
        if place.number is not None:
            self.go_to_number(place.number)
        elif self.player.n_frames:
            self.go_to_time(place.reach_us or 0)
        else:
            self.go_to_time(place.time_us or 0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and (
            self.timeline.abort_drag() or self.tagging.abort() or self.marks.to_hand()
        ):
            return
        plain = Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier
        is_plain = not event.modifiers() & ~plain
        if event.isAutoRepeat() or not is_plain or not self.presenter.press_key(event.text()):
            super().keyPressEvent(event)

    def close_session(self) -> None:
        """Leave: stop the player and end what runs where the viewer has got to."""
        if self.presenter.can_edit:
            self.presenter.end_running()
        self.held_keys.let_go()
        self.looks.keep()
        self.keeping_watched.close()
        self.side.close_leaves()
        self.marks.close()
        self.player.close()
