"""Open a case for review: find its clips, choose the session, build the screen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from annotate.case import Case, ClipRecord, ReviewSession
from annotate.clip import CaseReader, fingerprint, full_hash
from annotate.errors import UserFacingError
from annotate.vocabulary_file import vocabulary_named
from app.desk.ask import ask_file_to_read, ask_yes
from app.intake.clips import damages, find_clip, opened_case
from app.jobs.work import Work
from app.review.presenter import ReviewPresenter
from app.review.view import ReviewView
from app.reviewers import reviewer_of

if TYPE_CHECKING:
    from app.desk.window import DeskWindow


class CaseOpener:
    """Opens cases in the desk's window."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window

    def open(self, code: str, reviewer: str | None = None) -> None:
        """Open a case; a clip that is nowhere to be found is asked for first."""
        window = self._window
        try:
            case = window.store.case(code)
            missing = self._first_missing(case)
            if missing is not None:
                self._ask_for(case, *missing)
                return
            window.show_review(self.view_of(case, reviewer))
            self.say_damage(case)
        except UserFacingError as trouble:
            window.message_bar.say(str(trouble), stays=True)

    def say_damage(self, case: Case) -> None:
        """Say of a clip that breaks off how far it goes."""
        sentences = damages(self._window.store, case)
        if sentences:
            self._window.message_bar.say(" ".join(sentences), stays=True)

    def view_of(self, case: Case, reviewer: str | None) -> ReviewView:
        """Build the review screen of a case.

        Raises
        ------
        UserFacingError
            If the vocabulary or the session cannot be read.
        """
        window = self._window
        session = self._session(case, reviewer)
        presenter = ReviewPresenter(
            window.store,
            case,
            session,
            vocabulary_named(case.vocabulary),
            window.settings.reaction_s,
            window.settings.reviewer,
        )
        reviewers = [other.reviewer.code for other in window.store.sessions(case.id)]
        return ReviewView(presenter, self._reader(case) if case.clips else None, reviewers)

    def _session(self, case: Case, reviewer: str | None) -> ReviewSession:
        """The session asked for; else one's own; else the newest; else a new one of one's own."""
        store, me = self._window.store, self._window.settings.reviewer
        sessions = {s.reviewer.code: s for s in reversed(store.sessions(case.id))}
        if reviewer in sessions:
            return sessions[reviewer]
        if reviewer is None and me not in sessions and sessions:
            return store.find_session(case.id)
        return store.start_session(case.id, reviewer_of(case, me))

    def _reader(self, case: Case) -> Callable[[], CaseReader]:
        store = self._window.store

        def opened() -> CaseReader:
            return opened_case(store, case)

        return opened

    def _first_missing(self, case: Case) -> tuple[ClipRecord, str] | None:
        for clip in case.clips:
            try:
                find_clip(self._window.store, case, clip)
            except UserFacingError as trouble:
                return clip, str(trouble)
        return None

    def _ask_for(self, case: Case, clip: ClipRecord, sentence: str) -> None:
        window = self._window

        def choose() -> None:
            ask_file_to_read(window, f"Where is {Path(clip.path).name}?", ["All files (*)"], found)

        def found(path: Path) -> None:
            try:
                is_same = fingerprint(path) == clip.fingerprint
            except UserFacingError as trouble:
                window.message_bar.say(str(trouble), stays=True)
                return
            if not is_same:
                window.message_bar.say(
                    f"{path.name} is another recording than the one that was tagged. "
                    "The case still waits for its own clip.",
                    stays=True,
                )
                return
            window.store.relocate_clip(clip.id, str(path))
            self.open(case.code)

        ask_yes(window, sentence, "Show where it is", choose)

    def hash_fully(self, case: Case) -> None:
        """Make the full hashes of a case's clips in the background."""
        for clip in case.clips:
            self._hash_clip(clip)

    def _hash_clip(self, clip: ClipRecord) -> None:
        window = self._window

        def deed(work: Work) -> str:
            return full_hash(Path(clip.path), progress=work.advance, cancel=work.cancel)

        def keep(made: str) -> None:
            window.store.keep_full_hash(clip.id, made)

        name = Path(clip.path).name
        window.background.run(f"Checking {name}", deed, keep, window.message_bar.say)
