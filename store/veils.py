"""Reviews that are kept from other reviewers until both are signed, so that neither leans."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from annotate.case import ReviewSession, SessionStatus
from annotate.ids import CaseId, SessionId
from annotate.people import check_code
from store.models import ReviewerTable, SessionTable
from store.sessions import of_case, stored_session


def veil(db: Session, session_id: SessionId, is_veiled: bool, by: str) -> None:
    """Keep a review from others, or show it to them; signing does not change that."""
    check_code(by, "reviewer")
    stored_session(db, session_id).is_veiled = is_veiled


def seen_by(db: Session, case_id: CaseId, reviewer: str) -> tuple[ReviewSession, ...]:
    """Sessions of a case without those that are kept from a reviewer, as `of_case` lists them."""
    return tuple(s for s in of_case(db, case_id) if not is_withheld(db, s.id, reviewer))


def is_withheld(db: Session, session_id: SessionId, reviewer: str) -> bool:
    """Whether a review is kept from a reviewer.

    A veiled one is, until it is signed and so is a review of the same case by that reviewer.
    """
    stored = stored_session(db, session_id)
    if not stored.is_veiled:
        return False
    owner = db.get_one(ReviewerTable, stored.reviewer_id).code
    if owner == reviewer:
        return False
    if stored.status != SessionStatus.SIGNED:
        return True
    own = db.scalar(
        select(SessionTable.id)
        .join(ReviewerTable, ReviewerTable.id == SessionTable.reviewer_id)
        .where(
            SessionTable.case_id == stored.case_id,
            ReviewerTable.code == reviewer,
            SessionTable.status == SessionStatus.SIGNED.value,
        )
        .limit(1)
    )
    return own is None
