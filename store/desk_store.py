"""The store as the rest of the program sees it: annotate's values in, annotate's values out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from annotate.case import Case, ClipRecord, ReviewSession
from annotate.closing import Closing
from annotate.ids import CaseId, ClipId, SessionId
from annotate.marks import Track
from annotate.markup import Markup
from annotate.people import Operator, Reviewer
from store import (
    arranging,
    backup,
    cases,
    derived,
    editions,
    edits,
    finding,
    health,
    sessions,
    undo,
)
from store.caseload import caseload
from store.changes import CaseEdit, CaseRow, Changes, Drop, Put
from store.engine import WAIT_S, Database, read_address
from store.opening import enrol, leave, open_database
from store.review_store import ReviewStore


def open_store(address: str | Path, *, wait_s: float = WAIT_S) -> Store:
    """Open a store, making it where there is none.

    Parameters
    ----------
    address : str or Path
        Path of a SQLite file, or a SQLAlchemy URL.
    wait_s : float
        How long to wait for another writer before saying that the store is busy, seconds.

    Raises
    ------
    UserFacingError
        If it is newer than this program, damaged, no store at all, or cannot be written.
    """
    return Store(open_database(read_address(address), wait_s))


class Store(ReviewStore, Closing):
    """An open store. One thread may use it at a time for edits; any thread may read.

    Every method that changes something has committed when it returns, and has changed nothing when
    it raises. Methods raise `UserFacingError` where the store is busy, full or gone.
    """

    def __init__(self, database: Database) -> None:
        self._database = database
        try:
            self._opening = enrol(database)
        except BaseException:
            database.close()
            raise

    @property
    def name(self) -> str:
        """Name of the store for sentences: its file's own name, or its address without password."""
        return self._database.address.name

    @property
    def path(self) -> Path | None:
        """Where the store's file is; None on a server."""
        return self._database.address.path

    def close(self) -> None:
        """Close the store; closing twice does nothing."""
        if self._opening:
            leave(self._database, self._opening)
            self._opening = ""
        self._database.close()

    def take_in(self, case: Case, by: str) -> Case:
        """Keep a new case with its clips.

        An operator who is known keeps the training level that is known; the returned case has it.

        Raises
        ------
        UserFacingError
            If the code is taken, or a clip belongs to another case already.
        """
        with self._database.writing() as db:
            return cases.take_in(db, case, by)

    def case(self, code_or_id: str) -> Case:
        """Find one case by code or id.

        Raises
        ------
        UserFacingError
            If there is none; it names those that there are.
        """
        with self._database.reading() as db:
            return cases.find(db, code_or_id)

    def cases(self, viewer: str = "") -> tuple[CaseRow, ...]:
        """List the caseload in order of code, without reviews that are kept from `viewer`."""
        with self._database.reading() as db:
            return caseload(db, viewer)

    def operators(self) -> tuple[Operator, ...]:
        """List the operators in order of code."""
        with self._database.reading() as db:
            return cases.operators(db)

    def relocate_clip(self, clip_id: ClipId, path: str | Path) -> None:
        """Note where a clip's file is now."""
        with self._database.writing() as db:
            cases.relocate_clip(db, clip_id, str(path))

    def keep_full_hash(self, clip_id: ClipId, full_hash: str) -> None:
        """Note the hash of a clip's whole file."""
        with self._database.writing() as db:
            cases.keep_full_hash(db, clip_id, full_hash)

    def arrange(self, case_id: CaseId, order: Sequence[tuple[ClipId, int]], by: str) -> Case:
        """Put the parts of a case into an order, each with what lies before it, microseconds.

        Every time of every session is taken along, so that each row stays on its pictures. Earlier
        steps of a session can no longer be undone where times have changed.

        Raises
        ------
        UserFacingError
            If the parts are not those of the case, or an offset cannot be so.
        """
        with self._database.writing() as db:
            return arranging.arrange(db, case_id, order, by)

    def add_clips(
        self, case_id: CaseId, clips: Sequence[ClipRecord], position: int, by: str
    ) -> Case:
        """Add parts before the one at `position`, from 0; at the end where that is their number.

        A part that they push away from its neighbour loses its offset.

        Raises
        ------
        UserFacingError
            If a clip belongs to a case already, or the case has none.
        """
        with self._database.writing() as db:
            return arranging.add_clips(db, case_id, clips, position, by)

    def case_history(self, case_id: CaseId) -> tuple[CaseEdit, ...]:
        """List what was done to a case's parts, oldest first."""
        with self._database.reading() as db:
            return arranging.case_history(db, case_id)

    def start_session(
        self, case_id: CaseId, reviewer: Reviewer, vocabulary_hash: str = ""
    ) -> ReviewSession:
        """Find the reviewer's session of the case, a draft before a signed one, or start one."""
        with self._database.writing() as db:
            return sessions.start(db, case_id, reviewer, vocabulary_hash)

    def sessions(self, case_id: CaseId) -> tuple[ReviewSession, ...]:
        """List the sessions of a case, the most recently edited first."""
        with self._database.reading() as db:
            return sessions.of_case(db, case_id)

    def session(self, session_id: SessionId) -> ReviewSession:
        """Read one session."""
        with self._database.reading() as db:
            return sessions.read(db, session_id)

    def find_session(
        self,
        case_id: CaseId,
        reviewer_code: str | None = None,
        *,
        viewer: str = "",
        edition: int | None = None,
    ) -> ReviewSession:
        """Find a case's session by its reviewer's code, of several editions the last edited.

        Without a code it is the only one, or the most recently edited. What is kept from `viewer`
        is not found.

        Raises
        ------
        UserFacingError
            If there is none; it names the reviewers that there are.
        """
        with self._database.reading() as db:
            return finding.find(db, case_id, reviewer_code, viewer, edition)

    def markup(self, session_id: SessionId) -> Markup:
        """Read all that a session says, each tuple in order of start, then of id."""
        with self._database.reading() as db:
            return sessions.read_markup(db, session_id)

    def edit(
        self,
        session_id: SessionId,
        kind: str,
        by: str,
        *changes: Put | Drop,
        at: datetime | None = None,
    ) -> Changes:
        """Make all `changes` as one step that one undo takes back, kept when this returns.

        Parameters
        ----------
        kind : str
            What was done, in words that a menu can show: ``move phase edge``.
        by : str
            Code of who did it.
        at : datetime or None
            When it was done, with its zone, where that was earlier; now where it is None.

        Raises
        ------
        UserFacingError
            If the session is signed, a row to drop is gone, or one that others refer to would go.
        ValueError
            If there are no changes, a row is another session's, or a number is not finite.
        """
        with self._database.writing() as db:
            return edits.edit(db, session_id, kind, by, changes, at)

    def undo(self, session_id: SessionId, by: str) -> Changes | None:
        """Take back the last step; None where there is none.

        Raises
        ------
        UserFacingError
            If a row is no longer as that step left it, or the session is signed.
        """
        with self._database.writing() as db:
            return undo.undo(db, session_id, by)

    def redo(self, session_id: SessionId, by: str) -> Changes | None:
        """Bring back the step that was taken back last; None where there is none."""
        with self._database.writing() as db:
            return undo.redo(db, session_id, by)

    def sign(self, session_id: SessionId, by: str) -> ReviewSession:
        """Sign a session: its undo list is closed and nothing in it changes any more."""
        with self._database.writing() as db:
            return sessions.sign(db, session_id, by, editions.content_hash(db, session_id))

    def derived(self, kind: str, fingerprint: str, version: str) -> bytes | None:
        """Find derived content made from that input by that version; None where there is none."""
        with self._database.reading() as db:
            return derived.derived(db, kind, fingerprint, version)

    def keep_derived(self, kind: str, fingerprint: str, version: str, content: bytes) -> None:
        """Keep derived content in place of what another version made of the same input."""
        with self._database.writing() as db:
            derived.keep_derived(db, kind, fingerprint, version, content)

    def tracks(self, clip_id: ClipId) -> tuple[Track, ...]:
        """List a clip's tracks in order of kind and algorithm."""
        with self._database.reading() as db:
            return derived.tracks(db, clip_id)

    def keep_track(self, track: Track) -> None:
        """Keep a track in place of an earlier one of the same clip, kind and algorithm."""
        with self._database.writing() as db:
            derived.keep_track(db, track)

    def drop_derived(self) -> None:
        """Let go of everything derived: it is made again when it is needed."""
        with self._database.writing() as db:
            derived.drop_derived(db)

    def check(self) -> tuple[str, ...]:
        """List what is wrong with the store, one sentence each; empty when it is sound."""
        return health.problems(self._database)

    def backup_to(self, target: Path) -> None:
        """Copy the store to one complete file, whatever is being written meanwhile."""
        backup.backup_to(self._database.address, target)

    def rolling_backup(self, folder: Path, keep: int = 24) -> Path:
        """Copy it into `folder` under the time's name; keep the newest `keep` copies."""
        return backup.rolling_backup(self._database.address, folder, keep)
