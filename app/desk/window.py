"""The desk's window: the screens, and what its actions do."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtGui import QCloseEvent, QPixmap
from PySide6.QtWidgets import QApplication, QMainWindow, QStackedWidget, QVBoxLayout, QWidget

from annotate.case import Case
from annotate.clock import parse_time
from annotate.errors import UserFacingError
from annotate.people import check_code
from app.caseload.intake_dialog import IntakeDialog
from app.caseload.posters import kept_poster, make_poster
from app.caseload.presenter import CaseloadPresenter
from app.caseload.view import CaseloadView
from app.cautions import CAUTIONS
from app.desk.actions import DeskActions
from app.desk.ask import LineDialog, ask_yes
from app.desk.hint import CautionsDialog, HintDialog
from app.desk.keys_page import KeysPage
from app.desk.message_bar import MessageBar
from app.desk.opening import CaseOpener
from app.desk.paperwork import Paperwork
from app.intake.take_in import Intake, take_in
from app.jobs.background import Background
from app.jobs.work import Work
from app.look.theme import dress
from app.review.view import ReviewView
from app.settings import Settings, save_settings
from store import Store

NAME = "Scrubline"


class DeskWindow(QMainWindow):
    """The one window. Closing it closes the session, the work and nothing else: all is kept."""

    def __init__(self, store: Store, settings: Settings, *, keeps_settings: bool = True) -> None:
        super().__init__()
        self.store = store
        self.settings = settings
        self._keeps_settings = keeps_settings
        self.background = Background(self)
        self.message_bar = MessageBar(self.background)
        self.caseload = CaseloadView(CaseloadPresenter(store))
        self.review: ReviewView | None = None
        self.stack = QStackedWidget()
        self.stack.addWidget(self.caseload)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.stack, 1)
        column.addWidget(self.message_bar)
        self.setCentralWidget(body)
        self.actions_table = DeskActions(self, self.act)
        self.opener = CaseOpener(self)
        self.paperwork = Paperwork(self)
        self.caseload.open_wished.connect(self.open_case)
        self.caseload.take_in_wished.connect(self.ask_take_in)
        self.resize(1366, 768)
        self.show_caseload()

    # Screens

    def show_caseload(self) -> None:
        """Go to the list of cases."""
        code = self.review.presenter.case.code if self.review else None
        self.leave_review()
        self.caseload.look_again()
        if code is not None:
            self.caseload.choose(code)
        self.stack.setCurrentWidget(self.caseload)
        self.actions_table.set_screen("caseload")
        self.setWindowTitle("Caseload")
        self.caseload.table.setFocus()
        self._show_posters()

    def open_case(self, code: str, reviewer: str | None = None) -> None:
        """Open a case for review."""
        self.opener.open(code, reviewer)

    def show_review(self, view: ReviewView) -> None:
        """Show a session that was opened."""
        self.leave_review()
        self.review = view
        self.stack.addWidget(view)
        self.stack.setCurrentWidget(view)
        self.actions_table.set_screen("review")
        self.setWindowTitle(f"Review of {view.presenter.case.code}")
        view.said.connect(self.message_bar.say)
        view.sessions.wished.connect(self._show_session_of)
        view.presenter.markup_changed.listen(self._name_undo)
        self._name_undo()
        view.picture.setFocus()
        view.presenter.move_playhead(view.presenter.playhead_us)

    def leave_review(self) -> None:
        """Close the session on the screen, if there is one."""
        if self.review is None:
            return
        self.review.close_session()
        self.stack.removeWidget(self.review)
        self.review.deleteLater()
        self.review = None

    def _show_session_of(self, reviewer: str) -> None:
        if self.review is not None:
            self.open_case(self.review.presenter.case.code, reviewer)

    def _name_undo(self) -> None:
        if self.review is not None:
            presenter = self.review.presenter
            self.actions_table.name_undo(presenter.undo_words, presenter.redo_words)

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
            "hand-back": self.paperwork.ask_hand_back,
            "read-tags": self.paperwork.ask_read_tags,
            "write-tags": self.paperwork.ask_write_tags,
            "sign": self.ask_sign,
            "quit": self.close,
            "go-to": self.ask_where,
            "theme": self.change_theme,
            "full-screen": self.change_full_screen,
            "keys": self.show_keys,
            "first-minute": self.show_hint,
            "cautions": self.show_cautions,
            "me": self.ask_me,
        }.get(action_id)
        if deed is not None:
            deed()

    def ask_take_in(self) -> None:
        """Ask which case to take in."""
        dialog = IntakeDialog(self.caseload.presenter.next_case_number, self)
        dialog.wished.connect(self.take_in)
        dialog.open()

    def take_in(self, wanted: Intake) -> None:
        """Take a case in, in the background."""

        def deed(work: Work) -> Case:
            return take_in(self.store, wanted, by=self.settings.reviewer, work=work)

        self.background.run("Reading the clips", deed, self._taken_in, self._say_trouble)

    def _taken_in(self, case: Case) -> None:
        self.message_bar.say(f"Case {case.code} is taken in.")
        self.opener.say_damage(case)
        if self.review is None:
            self.caseload.look_again()
            self.caseload.choose(case.code)
            self._show_posters()
        self.opener.hash_fully(case)

    def ask_sign(self) -> None:
        """Ask before signing, because it can't be undone."""
        if self.review is not None and not self.review.presenter.is_signed:
            ask_yes(
                self,
                "Sign this review? It takes no more edits then, and what was done can no longer "
                "be undone.",
                "Sign",
                self.review.presenter.sign,
            )

    def ask_where(self) -> None:
        """Ask for a time or a frame number to go to."""
        view = self.review
        if view is None:
            return

        def take(text: str) -> None:
            if text.startswith("#"):
                view.go_to_number(_frame_number(text))
            else:
                view.go_to_time(parse_time(text))

        LineDialog(
            self, "Go to", "A time (1:14.8, or seconds), or # and a frame number", "", take
        ).open()

    def ask_me(self) -> None:
        """Ask under which code one reviews."""

        def take(text: str) -> None:
            self._keep_settings(replace(self.settings, reviewer=check_code(text, "reviewer")))
            self.message_bar.say(f"You review as {text} from the next case you open.")

        question = "The code under which you review on this desk (no name)"
        LineDialog(self, "Who reviews", question, self.settings.reviewer, take).open()

    def change_theme(self) -> None:
        """Light or dark."""
        name = "light" if self.settings.theme == "dark" else "dark"
        palette = dress(QApplication.instance(), name)  # type: ignore[arg-type]
        self._keep_settings(replace(self.settings, theme=name))
        if self.review is not None:
            self.review.timeline.repaint_in(palette)
        self.update()

    def change_full_screen(self) -> None:
        """The whole screen, or a window again."""
        if self.isFullScreen():
            self.showNormal()
        else:
            self.showFullScreen()

    def show_keys(self) -> None:
        """Show the page of keys."""
        vocabulary = self.review.presenter.vocabulary if self.review else None
        KeysPage(vocabulary, self).open()

    def show_hint(self) -> None:
        """Show the three steps."""
        HintDialog(parent=self).open()
        if not self.settings.is_hint_read:
            self._keep_settings(replace(self.settings, is_hint_read=True))

    def show_cautions(self) -> None:
        """Show the cautions."""
        CautionsDialog(tuple(CAUTIONS), self).open()

    def _keep_settings(self, settings: Settings) -> None:
        self.settings = settings
        if not self._keeps_settings:
            return
        try:
            save_settings(settings)
        except OSError as fault:
            self.message_bar.say(
                f"The settings could not be kept ({fault.strerror}); they hold until you leave."
            )

    def _say_trouble(self, sentence: str) -> None:
        self.message_bar.say(sentence, stays=True)

    # Posters

    def _show_posters(self) -> None:
        """Show posters that are kept, and make the others in the background."""
        for line in self.caseload.presenter.lines:
            case = line.row.case
            if not case.clips or case.id in self.caseload.model.posters:
                continue
            content = kept_poster(self.store, case)
            if content is not None:
                self._poster_made((case.id, content))
            else:
                self._make_poster(case)

    def _make_poster(self, case: Case) -> None:
        def deed(work: Work) -> tuple[str, bytes | None]:
            return case.id, make_poster(self.store, case, work)

        self.background.run(f"Picture of {case.code}", deed, self._poster_made, self._say_trouble)

    def _poster_made(self, made: tuple[str, bytes | None]) -> None:
        case_id, content = made
        pixmap = QPixmap()
        if content is not None and pixmap.loadFromData(content):
            self.caseload.show_poster(case_id, pixmap)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.leave_review()
        self.background.close()
        super().closeEvent(event)


def _frame_number(text: str) -> int:
    digits = text.removeprefix("#").strip()
    if not (digits.isascii() and digits.isdigit()):
        raise UserFacingError(f"'{text[:40]}' is no frame number.", "Write # and digits: #1200.")
    return int(digits)
