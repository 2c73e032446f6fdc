"""The list of all cases, in a fixed number of queries however long it is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from annotate.case import SessionStatus
from annotate.ids import SessionId
from store.cases import case_from, operator_from
from store.changes import CaseRow, SessionLine
from store.models import CaseTable, ClipTable, OperatorTable, ReviewerTable, SessionTable
from store.row_models import CommentTable, TagTable
from store.veils import is_withheld


def caseload(db: Session, viewer: str = "") -> tuple[CaseRow, ...]:
    """List the cases in order of code, without reviews that are kept from `viewer`."""
    clips: dict[str, list[ClipTable]] = defaultdict(list)
    for clip in db.scalars(select(ClipTable).order_by(ClipTable.case_id, ClipTable.ordinal)):
        clips[clip.case_id].append(clip)
    sessions = _sessions(db, viewer)
    operators = {row.id: operator_from(row) for row in db.scalars(select(OperatorTable))}
    rows = []
    for stored in db.scalars(select(CaseTable).order_by(CaseTable.code)):
        lines = tuple(sessions[stored.id])
        rows.append(
            CaseRow(
                case=case_from(stored, operators[stored.operator_id], clips[stored.id]),
                status=_status(lines),
                n_sessions=len(lines),
                n_tags=sum(line.n_tags for line in lines),
                n_comments=sum(line.n_comments for line in lines),
                edited_at=lines[0].edited_at if lines else stored.taken_in_at,
                sessions=lines,
            )
        )
    return tuple(rows)


def _status(sessions: Sequence[SessionLine]) -> str:
    if not sessions:
        return "new"
    is_signed = all(line.status is SessionStatus.SIGNED for line in sessions)
    return "signed" if is_signed else "draft"


def _sessions(db: Session, viewer: str) -> dict[str, list[SessionLine]]:
    """Sessions by case that are not kept from the viewer, the most recently edited first."""
    n_tags, n_comments = _count(db, TagTable), _count(db, CommentTable)
    found = db.execute(
        select(SessionTable, ReviewerTable.code)
        .join(ReviewerTable, ReviewerTable.id == SessionTable.reviewer_id)
        .order_by(SessionTable.edited_at.desc(), SessionTable.id)
    )
    sessions: dict[str, list[SessionLine]] = defaultdict(list)
    for stored, reviewer in found:
        if viewer and stored.is_veiled and is_withheld(db, SessionId(stored.id), viewer):
            continue
        sessions[stored.case_id].append(
            SessionLine(
                id=SessionId(stored.id),
                reviewer=reviewer,
                status=SessionStatus(stored.status),
                n_tags=n_tags.get(stored.id, 0),
                n_comments=n_comments.get(stored.id, 0),
                edited_at=stored.edited_at,
                edition=stored.edition,
            )
        )
    return sessions


def _count(db: Session, model: type[TagTable] | type[CommentTable]) -> dict[str, int]:
    """Rows by session."""
    found = db.execute(
        select(model.session_id, func.count(model.id).label("n")).group_by(model.session_id)
    )
    return {row.session_id: row.n for row in found}
