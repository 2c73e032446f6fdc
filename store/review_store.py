"""What the store does beside edits of a review: history, search, editions, veils, watching."""

from __future__ import annotations

from collections.abc import Sequence

from annotate.case import ReviewSession
from annotate.ids import CaseId, SessionId
from annotate.watching import Watched
from store import editions, journal, kept_vocabularies, search, veils, watching
from store.changes import EditRecord
from store.engine import Database
from store.kept_vocabularies import KeptVocabulary
from store.search import Found


class ReviewStore:
    """Part of `store.desk_store.Store`; the same promises hold."""

    _database: Database

    def search(
        self, query: str, *, codes: Sequence[str] = (), viewer: str = "", limit: int = 200
    ) -> tuple[Found, ...]:
        """Find comments, tags and marks of the whole caseload, the newest first.

        Parameters
        ----------
        query : str
            Beginnings of words; all must be there. Accents and capitals do not matter.
        codes : sequence of str
            A tag of one of these codes is found too, as is a comment about such a phase.
        viewer : str
            Code of who searches; reviews that are kept from them are left out.
        """
        with self._database.reading() as db:
            return search.search(db, query, codes, viewer, limit)

    def next_edition(self, session_id: SessionId, by: str) -> ReviewSession:
        """Go on with a signed review in a draft of its own; both stay.

        Raises
        ------
        UserFacingError
            If it is not signed.
        """
        with self._database.writing() as db:
            return editions.next_edition(db, session_id, by)

    def is_as_signed(self, session_id: SessionId) -> bool | None:
        """Whether a session says what was signed; None where it was signed without a hash."""
        with self._database.reading() as db:
            return editions.is_as_signed(db, session_id)

    def veil(self, session_id: SessionId, is_veiled: bool, by: str) -> None:
        """Keep a review from other reviewers until theirs and it are signed, or no longer."""
        with self._database.writing() as db:
            veils.veil(db, session_id, is_veiled, by)

    def sessions_seen_by(self, case_id: CaseId, reviewer: str) -> tuple[ReviewSession, ...]:
        """List the sessions of a case that are not kept from a reviewer, as `sessions` does."""
        with self._database.reading() as db:
            return veils.seen_by(db, case_id, reviewer)

    def keep_watched(self, session_id: SessionId, spans: Sequence[Watched]) -> None:
        """Add stretches of the case that were watched in a session.

        Raises
        ------
        UserFacingError
            If the session is signed.
        """
        with self._database.writing() as db:
            watching.keep_watched(db, session_id, spans)

    def watched(self, session_id: SessionId) -> tuple[Watched, ...]:
        """List what was watched in a session, in order."""
        with self._database.reading() as db:
            return watching.watched(db, session_id)

    def keep_vocabulary(self, name: str, edition: str, text: str, content_hash: str) -> None:
        """Keep a vocabulary's text under its hash."""
        with self._database.writing() as db:
            kept_vocabularies.keep(db, name, edition, text, content_hash)

    def kept_vocabularies(self, name: str | None = None) -> tuple[KeptVocabulary, ...]:
        """List kept editions of a vocabulary, or of all, the newest first."""
        with self._database.reading() as db:
            return kept_vocabularies.kept(db, name)

    def note_vocabulary(self, session_id: SessionId, content_hash: str) -> None:
        """Note with which edition of the words a draft goes on; a signed review keeps its own."""
        with self._database.writing() as db:
            kept_vocabularies.note(db, session_id, content_hash)

    def code_uses(self, vocabulary: str) -> dict[str, int]:
        """Count the reviews in which each code stands, over the cases of a vocabulary."""
        with self._database.reading() as db:
            return kept_vocabularies.code_uses(db, vocabulary)

    def undo_kind(self, session_id: SessionId) -> str | None:
        """Kind of the step that an undo would take back."""
        with self._database.reading() as db:
            edit = journal.next_to_undo(db, session_id)
            return edit.kind if edit else None

    def redo_kind(self, session_id: SessionId) -> str | None:
        """Kind of the step that a redo would bring back."""
        with self._database.reading() as db:
            edit = journal.next_to_redo(db, session_id)
            return edit.kind if edit else None

    def history(self, session_id: SessionId) -> tuple[EditRecord, ...]:
        """List all that was done in a session, oldest first, undos and redos included."""
        with self._database.reading() as db:
            return journal.history(db, session_id)
