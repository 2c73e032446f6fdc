"""Take a case in from the desk: the dialog stays until the case is in or is left."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shiboken6 import isValid

from annotate.case import Case
from app.caseload.intake_dialog import IntakeDialog
from app.intake.patient_notice import patient_notice
from app.intake.take_in import Intake, take_in
from app.jobs.work import Work

if TYPE_CHECKING:
    from app.desk.window import DeskWindow


class TakingIn:
    """Shows the intake's dialog and does what it wishes in the background."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window

    def ask(self) -> None:
        """Ask which case to take in."""
        window = self._window
        window.message_bar.hide_words()
        presenter = window.caseload.presenter
        dialog = IntakeDialog(
            presenter.next_case_number,
            window,
            operators=window.store.operators(),
            codes=presenter.codes,
        )
        dialog.wished.connect(lambda wanted: self._take_in_for(dialog, wanted))
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def take_in(self, wanted: Intake) -> None:
        """Take a case in without a dialog."""
        self._window.background.run(
            "Reading the clips",
            lambda work: self._deed(wanted, work),
            self._taken_in,
            self._window.message_bar.say_trouble,
        )

    def _take_in_for(self, dialog: IntakeDialog, wanted: Intake) -> None:
        def done(case: Case) -> None:
            if isValid(dialog):
                dialog.accept()
            self._taken_in(case)

        def refused(sentence: str) -> None:
            if isValid(dialog) and not work.cancel.is_set():
                dialog.refuse(sentence)

        work = self._window.background.run(
            "Reading the clips", lambda work: self._deed(wanted, work), done, refused
        )
        dialog.begin(work)
        dialog.stop_wished.connect(work.cancel.set)

    def _deed(self, wanted: Intake, work: Work) -> Case:
        window = self._window
        return take_in(window.store, wanted, by=window.settings.reviewer, work=work)

    def _taken_in(self, case: Case) -> None:
        window = self._window
        taken_in, notice = f"Case {case.code} is taken in.", patient_notice(case)
        window.message_bar.say(taken_in)
        window.opener.say_damage(case, f"{taken_in} {notice}" if notice else "")
        if window.review is None:
            window.caseload.look_again()
            window.caseload.choose(case.code)
            window.posters.show()
        window.opener.hash_fully(case)
        window.thumbnails.want(case, at_once=False)
        window.parts.look(case)
