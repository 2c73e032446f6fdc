"""The list of all cases, in a fixed number of queries however long it is."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from annotate.case import SessionStatus
from store.cases import case_from, operator_from
from store.changes import CaseRow
from store.models import CaseTable, ClipTable, OperatorTable, SessionTable
from store.row_models import CommentTable, TagTable


@dataclass(frozen=True, slots=True)
class _Reviews:
    """A case's sessions, counted."""

    n: int
    n_signed: int
    edited_at: datetime


def caseload(db: Session) -> tuple[CaseRow, ...]:
    """List the cases in order of code."""
    clips: dict[str, list[ClipTable]] = defaultdict(list)
    for clip in db.scalars(select(ClipTable).order_by(ClipTable.case_id, ClipTable.ordinal)):
        clips[clip.case_id].append(clip)
    reviews = _reviews(db)
    n_tags, n_comments = _count(db, TagTable), _count(db, CommentTable)
    operators = {row.id: operator_from(row) for row in db.scalars(select(OperatorTable))}
    rows = []
    for stored in db.scalars(select(CaseTable).order_by(CaseTable.code)):
        review = reviews.get(stored.id)
        rows.append(
            CaseRow(
                case=case_from(stored, operators[stored.operator_id], clips[stored.id]),
                status=_status(review),
                n_sessions=review.n if review else 0,
                n_tags=n_tags.get(stored.id, 0),
                n_comments=n_comments.get(stored.id, 0),
                edited_at=review.edited_at if review else stored.taken_in_at,
            )
        )
    return tuple(rows)


def _status(review: _Reviews | None) -> str:
    if review is None:
        return "new"
    return "signed" if review.n_signed == review.n else "draft"


def _reviews(db: Session) -> dict[str, _Reviews]:
    found = db.execute(
        select(
            SessionTable.case_id,
            SessionTable.status,
            func.count(),
            func.max(SessionTable.edited_at),
        ).group_by(SessionTable.case_id, SessionTable.status)
    )
    reviews: dict[str, _Reviews] = {}
    for case_id, status, n, edited_at in found:
        n_signed = n if status == SessionStatus.SIGNED else 0
        other = reviews.get(case_id, _Reviews(0, 0, edited_at))
        reviews[case_id] = _Reviews(
            other.n + n, other.n_signed + n_signed, max(other.edited_at, edited_at)
        )
    return reviews


def _count(db: Session, model: type[TagTable] | type[CommentTable]) -> dict[str, int]:
    found = db.execute(
        select(SessionTable.case_id, func.count(model.id).label("n"))
        .join(model, model.session_id == SessionTable.id)
        .group_by(SessionTable.case_id)
    )
    return {row.case_id: row.n for row in found}
