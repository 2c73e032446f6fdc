"""Open a case for review: find its clips, choose the session, build the screen."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from annotate.case import Case, ClipRecord, ReviewSession, SessionStatus
from annotate.clip import fingerprint, full_hash
from annotate.errors import UserFacingError
from annotate.vocabulary import Vocabulary
from app.caseload.clip_list import ANY_FILES, VIDEO_FILES
from app.desk.ask import ask_file_to_read, ask_which
from app.desk.case_to_play import case_to_play
from app.desk.signing import not_as_signed
from app.intake.clips import damages, find_clip
from app.jobs.work import Work
from app.playing.shown import CaseToPlay
from app.review.presenter import ReviewPresenter
from app.review.view import ReviewView
from app.reviewers import reviewer_of
from app.vocabulary.own import vocabulary_today
from app.vocabulary.words import keep_words, words_of

if TYPE_CHECKING:
    from app.desk.window import DeskWindow

_LEFT_OUT = (
    "The clip of this case is not where it was; the case was opened without it.\n"
    "Nothing that was entered is lost. Open the case again to say where the clip is."
)

_LEAST_MIB = 64
"""Less would not hold what a step back needs."""


class CaseOpener:
    """Opens cases in the desk's window."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window
        self._without_picture = ""

    def open(self, code: str, reviewer: str | None = None) -> None:
        """Open a case; a clip that is nowhere to be found is asked for first."""
        window = self._window
        try:
            case = window.store.case(code)
            missing = self._first_missing(case)
            if missing is not None and reviewer is not None and case.id == self._without_picture:
                self._open_without(case, reviewer)
                return
            if missing is not None:
                self._ask_for(case, *missing)
                return
            view = self.view_of(case, reviewer)
            window.show_review(view)
            self.say_damage(case, not_as_signed(window.store, case, view.presenter.session))
        except UserFacingError as trouble:
            window.message_bar.say_trouble(str(trouble))

    def say_damage(self, case: Case, notice: str = "") -> None:
        """Say of a clip that breaks off how far it goes, after whatever else is to be noticed."""
        sentences = [*filter(None, [notice]), *damages(self._window.store, case)]
        if sentences:
            self._window.message_bar.say_trouble(" ".join(sentences))

    def view_of(self, case: Case, reviewer: str | None, *, has_picture: bool = True) -> ReviewView:
        """Build the review screen of a case.

        Raises
        ------
        UserFacingError
            If the vocabulary or the session cannot be read.
        """
        window = self._window
        session = self._session(case, reviewer)
        words = self._words(case, session)
        presenter = ReviewPresenter(
            window.store,
            case,
            session,
            words,
            window.settings.reaction_s,
            window.settings.reviewer,
        )
        if case.clips and not has_picture:
            return ReviewView(presenter, None, no_clip_sentence=_LEFT_OUT)
        return ReviewView(presenter, self._opening(case) if case.clips else None)

    def _session(self, case: Case, wanted: str | None) -> ReviewSession:
        """The session asked for; else one's own; else the newest; else a new one of one's own.

        Parameters
        ----------
        wanted : str or None
            Id of a session, or a reviewer's code, of whose editions it is the last one edited.
        """
        store, me = self._window.store, self._window.settings.reviewer
        seen = store.sessions_seen_by(case.id, me)
        by_key = {s.reviewer.code: s for s in reversed(seen)} | {str(s.id): s for s in seen}
        if wanted in by_key:
            return by_key[wanted]
        kept = next((s for s in store.sessions(case.id) if wanted in (s.id, s.reviewer.code)), None)
        if kept is not None:
            return store.find_session(case.id, kept.reviewer.code, viewer=me)
        if wanted is None and me not in by_key and seen:
            return seen[0]
        words_hash = keep_words(store, vocabulary_today(case.vocabulary))
        return store.start_session(case.id, reviewer_of(case, me), words_hash)

    def _words(self, case: Case, session: ReviewSession) -> Vocabulary:
        """Words to show a review with; a draft of one's own goes on with those of today."""
        store = self._window.store
        words = words_of(store, case, session)
        is_mine = session.reviewer.code == self._window.settings.reviewer
        if is_mine and session.status is SessionStatus.DRAFT:
            store.note_vocabulary(session.id, keep_words(store, words))
        return words

    def _opening(self, case: Case) -> Callable[[], CaseToPlay]:
        store = self._window.store
        cache_bytes = max(self._window.settings.picture_memory_mib, _LEAST_MIB) << 20
        return lambda: case_to_play(store, case, cache_bytes)

    def _first_missing(self, case: Case) -> tuple[ClipRecord, str] | None:
        for clip in case.clips:
            try:
                find_clip(self._window.store, case, clip)
            except UserFacingError as trouble:
                return clip, str(trouble)
        return None

    def _is_any_there(self, case: Case) -> bool:
        """Whether a part of the case can be shown; the stretches of the others say why not."""
        for clip in case.clips:
            with suppress(UserFacingError):
                find_clip(self._window.store, case, clip)
                return True
        return False

    def _ask_for(self, case: Case, clip: ClipRecord, sentence: str) -> None:
        """Ask where a clip is; what is wrong with the answer is said in the next question."""
        known = Path(clip.path)

        def choose() -> None:
            title, kinds = f"Where is {known.name}?", [VIDEO_FILES, ANY_FILES]
            ask_file_to_read(self._window, title, kinds, found, known.parent)

        def found(path: Path) -> None:
            try:
                self._check_same(path, clip)
                self._window.store.relocate_clip(clip.id, path.resolve())
            except UserFacingError as trouble:
                self._ask_for(case, clip, str(trouble))
                return
            self.open(case.code)

        others = "Open the other parts" if self._is_any_there(case) else "Open without the picture"
        ask_which(
            self._window,
            sentence,
            [("Show where it is", choose), (others, lambda: self._open_without(case))],
        )

    def _check_same(self, path: Path, clip: ClipRecord) -> None:
        """Refuse a file that is not the clip.

        Raises
        ------
        UserFacingError
            If it cannot be read or is another recording.
        """
        if fingerprint(path) != clip.fingerprint:
            raise UserFacingError(
                f"{path.name} is another recording than the one that was tagged.",
                f"The case still waits for {Path(clip.path).name}.",
            )

    def _open_without(self, case: Case, reviewer: str | None = None) -> None:
        """Open a case of which a clip is not there; another session of it opens the same way."""
        self._without_picture = case.id
        try:
            is_any_there = self._is_any_there(case)
            self._window.show_review(self.view_of(case, reviewer, has_picture=is_any_there))
        except UserFacingError as trouble:
            self._window.message_bar.say_trouble(str(trouble))

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
        window.background.run(f"Checking {name}", deed, keep, window.message_bar.say_trouble)
