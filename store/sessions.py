"""Review sessions: found, started, read, signed."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from annotate.case import ReviewSession, SessionStatus
from annotate.errors import UserFacingError
from annotate.ids import CaseId, SessionId, new_id
from annotate.markup import Markup
from annotate.people import Reviewer, ReviewerKind, check_code
from store.entries import markup
from store.journal import close_undo_list, record
from store.models import CaseTable, EditState, ReviewerTable, SessionTable

SIGNING = "sign"


def start(
    db: Session, case_id: CaseId, reviewer: Reviewer, vocabulary_hash: str = ""
) -> ReviewSession:
    """Find the reviewer's session of the case, a draft before a signed one, or start it."""
    case = db.get(CaseTable, case_id, with_for_update=True)
    if case is None:
        raise UserFacingError("The case is no longer in the store.", "Open another case.")
    mine = [s for s in of_case(db, case_id) if s.reviewer.id == reviewer.id]
    if mine:
        return next((s for s in mine if s.status is SessionStatus.DRAFT), mine[0])
    if db.get(ReviewerTable, reviewer.id) is None:
        db.add(ReviewerTable(id=reviewer.id, code=reviewer.code))
        db.flush()
    now = datetime.now(UTC)
    stored = SessionTable(
        id=new_id(),
        case_id=case_id,
        reviewer_id=reviewer.id,
        reviewer_kind=reviewer.kind.value,
        status=SessionStatus.DRAFT.value,
        started_at=now,
        edited_at=now,
        signed_at=None,
        edition=1,
        follows_id=None,
        content_hash="",
        is_veiled=False,
        vocabulary_hash=vocabulary_hash,
    )
    db.add(stored)
    return _session_from(stored, reviewer.code)


def of_case(db: Session, case_id: CaseId) -> tuple[ReviewSession, ...]:
    """List the sessions of a case, the most recently edited first."""
    found = db.execute(
        select(SessionTable, ReviewerTable.code)
        .join(ReviewerTable, ReviewerTable.id == SessionTable.reviewer_id)
        .where(SessionTable.case_id == case_id)
        .order_by(SessionTable.edited_at.desc(), SessionTable.id)
    )
    return tuple(_session_from(stored, code) for stored, code in found)


def read(db: Session, session_id: SessionId) -> ReviewSession:
    """Read one session."""
    stored = stored_session(db, session_id)
    reviewer = db.get_one(ReviewerTable, stored.reviewer_id)
    return _session_from(stored, reviewer.code)


def stored_session(
    db: Session, session_id: SessionId, *, is_to_write: bool = False
) -> SessionTable:
    """Row of a session, held against other writers where it is to be written.

    Raises
    ------
    UserFacingError
        If there is none, or it is to be written and is signed.
    """
    stored = db.get(SessionTable, session_id, with_for_update=is_to_write or None)
    if stored is None:
        raise UserFacingError("The review is no longer in the store.", "Open the case again.")
    if is_to_write and stored.status == SessionStatus.SIGNED:
        raise UserFacingError(
            "This review is signed and can no longer be changed.", "Nothing was changed."
        )
    return stored


def read_markup(db: Session, session_id: SessionId) -> Markup:
    """Read all that a session says."""
    stored_session(db, session_id)
    return markup(db, session_id)


def sign(db: Session, session_id: SessionId, by: str, content_hash: str) -> ReviewSession:
    """Sign a session: its undo list is closed and nothing in it changes any more."""
    check_code(by, "reviewer")
    stored = stored_session(db, session_id, is_to_write=True)
    close_undo_list(db, session_id)
    now = datetime.now(UTC)
    record(db, session_id, kind=SIGNING, by=by, state=EditState.CLOSED)
    stored.status = SessionStatus.SIGNED.value
    stored.signed_at = now
    stored.content_hash = content_hash
    stored.edited_at = now
    db.flush()
    return read(db, session_id)


def _session_from(stored: SessionTable, reviewer_code: str) -> ReviewSession:
    return ReviewSession(
        id=SessionId(stored.id),
        case_id=CaseId(stored.case_id),
        reviewer=Reviewer(reviewer_code, ReviewerKind(stored.reviewer_kind)),
        status=SessionStatus(stored.status),
        started_at=stored.started_at,
        signed_at=stored.signed_at,
        edition=stored.edition,
        follows_id=SessionId(stored.follows_id) if stored.follows_id else None,
        content_hash=stored.content_hash,
        is_veiled=stored.is_veiled,
        vocabulary_hash=stored.vocabulary_hash,
    )
