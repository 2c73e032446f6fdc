"""The desk's window: the screens, and what its actions do."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QSize
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QApplication, QMainWindow, QStackedWidget, QVBoxLayout, QWidget

from annotate.vocabulary_file import shipped_vocabulary
from app.caseload.presenter import CaseloadPresenter
from app.caseload.view import CaseloadView
from app.cautions import CAUTIONS
from app.desk.actions import DeskActions
from app.desk.enlarging import Enlarging
from app.desk.foot_line import FootLine, counted, kept_words
from app.desk.full_screen import FullScreen
from app.desk.hint import CautionsDialog, HintDialog
from app.desk.kept_panes import KeptPanes
from app.desk.keys_page import KeysPage
from app.desk.machine_files import MachineFiles
from app.desk.message_bar import MessageBar
from app.desk.opening import CaseOpener
from app.desk.paperwork import Paperwork
from app.desk.parts import Parts
from app.desk.poster_shelf import PosterShelf
from app.desk.questions import Questions
from app.desk.ribbon_page import RibbonPage
from app.desk.said_of_edit import SaidOfEdit
from app.desk.search_desk import SearchDesk
from app.desk.signing import name_session_deeds
from app.desk.still_saver import StillSaver
from app.desk.taking_in import TakingIn
from app.desk.thumbnail_shelf import ThumbnailShelf
from app.jobs.background import Background
from app.look.screen_room import room_on_screen
from app.look.theme import dress
from app.playing.decoders import decoders
from app.review.view import ReviewView
from app.settings import Settings, save_settings, settings_after_demo
from app.vocabulary.opening import Vocabularies
from store import Store

_EXAMPLE = "phaco-divide-conquer"
"""Whose words stand for all where no case is open."""
_SMALLEST = QSize(720, 440)
"""What any screen has, also one that is enlarged twice."""


class DeskWindow(QMainWindow):
    """The one window. Closing it closes the session, the work and nothing else: all is kept."""

    def __init__(
        self,
        store: Store,
        settings: Settings,
        *,
        keeps_settings: bool = True,
        is_demo: bool = False,
    ) -> None:
        super().__init__()
        self.store = store
        self.settings = settings
        self.is_demo = is_demo
        self._keeps_settings = keeps_settings
        self.background = Background(self)
        self.foot = FootLine()
        self.caseload = CaseloadView(CaseloadPresenter(store, settings.reviewer))
        self.review: ReviewView | None = None
        self.stack = QStackedWidget()
        self.stack.addWidget(self.caseload)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.stack, 1)
        column.addWidget(self.foot)
        self.setCentralWidget(body)
        self.message_bar = MessageBar(self.background, self.foot, body)
        self.said_of_edit = SaidOfEdit(self.message_bar)
        self.actions_table = DeskActions(self, self.act)
        self.full_screen = FullScreen(self)
        self.opener = CaseOpener(self)
        self.paperwork = Paperwork(self)
        self.machine_files = MachineFiles(self)
        self.parts = Parts(self)
        self.questions = Questions(self)
        self.taking_in = TakingIn(self)
        self.search_desk = SearchDesk(self)
        self.vocabularies = Vocabularies(self)
        self.posters = PosterShelf(self)
        self.thumbnails = ThumbnailShelf(store, self)
        self.still_saver = StillSaver(self)
        self.kept_panes = KeptPanes(self)
        self.enlarging = Enlarging(self)
        self.caseload.open_wished.connect(self.open_case)
        self.caseload.take_in_wished.connect(self.ask_take_in)
        self.setMinimumSize(_SMALLEST)
        self.resize(QSize(1366, 768).boundedTo(room_on_screen(self)))
        self.show_caseload()
        decoders.warm()

    # Screens

    def show_caseload(self) -> None:
        """Go to the list of cases."""
        code = self.review.presenter.case.code if self.review else None
        self.message_bar.hide_words()
        self.leave_review()
        self.caseload.look_again()
        self._rest_on_caseload()
        if code is not None:
            self.caseload.choose(code)
        self.stack.setCurrentWidget(self.caseload)
        self.actions_table.set_screen("caseload")
        self.setWindowTitle("Caseload")
        self.caseload.table.setFocus()
        self.posters.show()

    def open_case(self, code: str, reviewer: str | None = None) -> None:
        """Open a case for review; who reviews is asked before, if nobody ever said."""
        self.questions.know_me_then(lambda: self.opener.open(code, reviewer))

    def ask_take_in(self) -> None:
        """Ask which case to take in."""
        self.questions.know_me_then(self.taking_in.ask)

    def show_review(self, view: ReviewView) -> None:
        """Show a session that was opened."""
        self.message_bar.hide_words()
        self.leave_review()
        self.review = view
        self.stack.addWidget(view)
        self.stack.setCurrentWidget(view)
        self.actions_table.set_screen("review")
        self.setWindowTitle(f"Review of {view.presenter.case.code}")
        view.said.connect(self.said_of_edit.say)
        view.told.connect(self.message_bar.say)
        view.player.facts_changed.connect(self._offer_fields)
        self._offer_fields()
        if view.player.sound is not None:
            out = view.player.sound.out
            view.sound_knob.put(round(100 * self.settings.volume), is_muted=self.settings.is_muted)
            out.volume_chosen.connect(self._keep_volume)
        self.kept_panes.follow(view)
        view.sessions.wished.connect(self._show_session_of)
        view.presenter.markup_changed.listen(self._follow_edit)
        if view.player.feed is not None:
            view.small_pictures.take_from(self.thumbnails)
            self.thumbnails.want(view.presenter.case)
        self.parts.look(view.presenter.case)
        self._name_deeds()
        self.full_screen.watch(view)
        view.picture.setFocus()
        view.presenter.move_playhead(view.presenter.playhead_us)

    def _offer_fields(self) -> None:
        is_interlaced = self.review is not None and self.review.player.is_interlaced
        self.actions_table["fields"].setEnabled(is_interlaced)

    def _keep_volume(self, volume: float, is_muted: bool) -> None:
        chosen = replace(self.settings, volume=round(volume, 2), is_muted=is_muted)
        if chosen != self.settings:
            self.keep_settings(chosen)

    def leave_review(self) -> None:
        """Close the session on the screen, if there is one."""
        if self.review is None:
            return
        self.full_screen.watch(None)
        self.review.close_session()
        self.stack.removeWidget(self.review)
        self.review.deleteLater()
        self.review = None

    def _show_session_of(self, reviewer: str) -> None:
        if self.review is not None:
            self.open_case(self.review.presenter.case.code, reviewer)

    def _follow_edit(self) -> None:
        if self.review is not None:
            self.said_of_edit.follow(self.review.presenter.markup)
        self._name_deeds()

    def _name_deeds(self) -> None:
        if self.review is not None:
            presenter = self.review.presenter
            self.actions_table.name_undo(presenter.undo_words, presenter.redo_words)
            name_session_deeds(self.actions_table, presenter)
            self.foot.rest(kept_words(presenter))

    def _rest_on_caseload(self) -> None:
        n_cases = len(self.caseload.presenter.lines)
        cases = counted(n_cases, "case")
        self.foot.rest(f"{cases}, all kept on this desk" if n_cases else "No case yet")

    # Actions

    def act(self, action_id: str) -> None:
        """Do a named action."""
        if self.review is not None and self.review.act(action_id):
            return
        deed = {
            "take-in": self.ask_take_in,
            "open-caseload": self.show_caseload,
            "find-case": self.caseload.search.setFocus,
            "open-case": self.caseload.open_chosen,
            "parts": self.parts.ask,
            "search": self.search_desk.ask,
            "hand-back": self.paperwork.ask_hand_back,
            "read-tags": self.paperwork.ask_read_tags,
            "write-tags": self.paperwork.ask_write_tags,
            "read-settings": self.machine_files.ask_read,
            "write-settings": self.machine_files.ask_write,
            "save-still": self.still_saver.ask,
            "sign": self.questions.ask_sign,
            "quit": self.close,
            "go-to": self.questions.ask_where,
            "theme": self.change_theme,
            "full-screen": self.change_full_screen,
            "keys": self.show_keys,
            "first-minute": self.show_hint,
            "ribbon": self.show_ribbon,
            "cautions": self.show_cautions,
            "me": self.questions.ask_me,
            "vocabulary": self.vocabularies.ask,
            "larger": lambda: self.enlarging.step(1),
            "smaller": lambda: self.enlarging.step(-1),
            "start-again": self.enlarging.start_again,
        }.get(action_id)
        if deed is not None:
            deed()

    def change_theme(self) -> None:
        """Light or dark."""
        name = "light" if self.settings.theme == "dark" else "dark"
        palette = dress(QApplication.instance(), name)  # type: ignore[arg-type]
        self.keep_settings(replace(self.settings, theme=name))
        if self.review is not None:
            self.review.timeline.repaint_in(palette)
        self.update()

    def change_full_screen(self) -> None:
        """The whole screen, or the window as it was before."""
        self.full_screen.toggle()

    def show_keys(self) -> None:
        """Show the page of keys."""
        vocabulary = self.review.presenter.vocabulary if self.review else None
        KeysPage(vocabulary, self).open()

    def show_hint(self) -> HintDialog:
        """Show the first steps; in the demo with a case to try them on."""
        lines = self.caseload.presenter.lines
        fresh = self.caseload.presenter.fresh_case if self.is_demo else ""
        dialog = HintDialog(is_empty=not lines, fresh_case=fresh, parent=self)
        dialog.case_wished.connect(self.open_case)
        dialog.intake_wished.connect(self.ask_take_in)
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()
        read = (
            replace(self.settings, is_demo_hint_read=True)
            if self.is_demo
            else replace(self.settings, is_hint_read=True)
        )
        if read != self.settings:
            self.keep_settings(read)
        return dialog

    def show_ribbon(self) -> None:
        """Show how the ribbon is read."""
        shown = self.review.presenter.vocabulary if self.review else None
        RibbonPage(shown or shipped_vocabulary(_EXAMPLE), self).open()

    def show_cautions(self) -> None:
        """Show the cautions."""
        CautionsDialog(CAUTIONS, self).open()

    def keep_settings(self, settings: Settings) -> None:
        """Use other settings from now on, and write them down."""
        self.settings = settings
        if self.caseload.presenter.me != settings.reviewer:  # each sees what is not kept from them
            self.caseload.presenter.me = settings.reviewer
            self.caseload.look_again()
        if not self._keeps_settings:
            return
        try:
            save_settings(settings_after_demo(settings) if self.is_demo else settings)
        except OSError as fault:
            self.message_bar.say(
                f"The settings could not be kept ({fault.strerror}); they hold until you leave."
            )

    def closeEvent(self, event: QCloseEvent) -> None:
        self.leave_review()
        self.background.close()
        self.thumbnails.close()
        super().closeEvent(event)
