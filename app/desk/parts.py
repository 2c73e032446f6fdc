"""The parts of the open case: looked at in the background, shown, moved, added."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from shiboken6 import isValid

from annotate.case import Case
from annotate.clip.joins import Join
from annotate.errors import UserFacingError
from annotate.ids import ClipId
from app.desk.parts_dialog import PartsDialog
from app.intake.adding_parts import add_parts
from app.intake.clips import find_clip
from app.intake.found_joins import find_joins, kept_joins
from app.intake.parts_plan import PartsPlan

if TYPE_CHECKING:
    from app.desk.window import DeskWindow

_Place = tuple[ClipId, int]


class Parts:
    """Shows the parts of the case on the screen, and does what is wished of them."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window

    def look(self, case: Case) -> None:
        """Show what is known of the joins, and look at the others in the background."""
        if len(case.clips) < 2:
            return
        window = self._window
        known = kept_joins(window.store, case)
        self._show(case, known)
        if None in known:
            window.background.run(
                "Looking at the joins",
                lambda work: find_joins(window.store, case, work),
                lambda found: self._show(case, found),
                window.message_bar.say_trouble,
                is_derived=True,
            )

    def _show(self, case: Case, joins: tuple[Join | None, ...]) -> None:
        """Put what was found on the timeline, if that case still lies so on the screen."""
        review = self._window.review
        if review is not None and review.presenter.case.clips == case.clips:
            review.timeline.show_joins(joins)
        for dialog in self._window.findChildren(PartsDialog):
            if dialog.isVisible() and dialog.plan.case.clips == case.clips:
                dialog.plan.joins.update(_by_pair(case, joins))
                dialog.refresh()

    def ask(self) -> None:
        """Show the parts of the case on the screen."""
        review = self._window.review
        if review is None:
            return
        case = review.presenter.case
        if not case.clips:
            self._window.message_bar.say(f"Case {case.code} is known by its tags alone.")
            return
        dialog = PartsDialog(self._plan(case), self._window)
        dialog.wished.connect(lambda: self._arrange(dialog))
        dialog.adding_wished.connect(lambda paths: self._add(dialog, paths))
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def _plan(self, case: Case) -> PartsPlan:
        store, troubles = self._window.store, {}
        for clip in case.clips:
            try:
                find_clip(store, case, clip)
            except UserFacingError as trouble:
                troubles[clip.id] = str(trouble)
        return PartsPlan(case, _by_pair(case, kept_joins(store, case)), troubles)

    def _arrange(self, dialog: PartsDialog) -> None:
        window, order = self._window, dialog.plan.order
        case_id, by = dialog.plan.case.id, window.settings.reviewer
        self._carry_out(dialog, lambda _work: window.store.arrange(case_id, order, by))

    def _add(self, dialog: PartsDialog, paths: list[Path]) -> None:
        window, case = self._window, dialog.plan.case
        by = window.settings.reviewer
        self._carry_out(dialog, lambda work: add_parts(window.store, case, paths, by, work))

    def _carry_out(self, dialog: PartsDialog, deed: object) -> None:
        """Do it in the background; then open the case again at the same picture."""
        window, review = self._window, self._window.review
        if review is None:
            return
        if review.presenter.can_edit:
            review.presenter.end_running()
        old, at_us = review.presenter.case, review.presenter.playhead_us
        reviewer = review.presenter.session.id
        ordinal, within_us = old.clock.to_clip(at_us)
        place = old.clips[ordinal].id, within_us

        def done(case: Case) -> None:
            if isValid(dialog):
                dialog.accept()
            self._open_at(case, reviewer, place)

        def refused(sentence: str) -> None:
            if isValid(dialog):
                dialog.wait(False)
                dialog.say(sentence)

        dialog.wait(True)
        work = window.background.run("Laying the parts", deed, done, refused)  # type: ignore[arg-type]
        dialog.rejected.connect(work.cancel.set)

    def _open_at(self, case: Case, reviewer: str, place: _Place) -> None:
        window = self._window
        window.opener.open(case.code, reviewer)
        if window.review is None or window.review.presenter.case.id != case.id:
            return  # a part is away, and is asked for first
        ordinal = next(n for n, clip in enumerate(case.clips) if clip.id == place[0])
        window.review.go_to_time(max(0, case.clock.to_case(ordinal, place[1])))
        window.message_bar.say("The parts lie so now.")


def _by_pair(case: Case, joins: tuple[Join | None, ...]) -> dict[tuple[ClipId, ClipId], Join]:
    pairs = zip(case.clips, case.clips[1:], joins, strict=False)
    return {(one.id, other.id): join for one, other, join in pairs if join is not None}
