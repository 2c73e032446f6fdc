"""Undo and redo, by the images in the journal; both are ordinary edits that name what they undo."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy.orm import Session

from annotate.errors import UserFacingError
from annotate.ids import SessionId
from annotate.people import check_code
from store.changes import Changes
from store.edits import described, image_now, place
from store.journal import (
    RowChange,
    changes_of,
    next_to_redo,
    next_to_undo,
    record,
    reversal_of,
)
from store.models import EditState, EditTable, SessionTable
from store.rows import agrees
from store.sessions import stored_session


def undo(db: Session, session_id: SessionId, by: str) -> Changes | None:
    """Take back the last edit that stands; None where there is none."""
    session = stored_session(db, session_id, is_to_write=True)
    edit = next_to_undo(db, session_id)
    if edit is None:
        return None
    return _reverse(db, session, by, edit, source=edit, new_state=EditState.UNDONE)


def redo(db: Session, session_id: SessionId, by: str) -> Changes | None:
    """Bring back the edit that was taken back last; None where there is none."""
    session = stored_session(db, session_id, is_to_write=True)
    edit = next_to_redo(db, session_id)
    if edit is None:
        return None
    reversal = reversal_of(db, edit.id)
    if reversal is None:
        raise RuntimeError(f"edit {edit.id} is undone by nothing")
    return _reverse(db, session, by, edit, source=reversal, new_state=EditState.DONE)


def _reverse(
    db: Session,
    session: SessionTable,
    by: str,
    edit: EditTable,
    *,
    source: EditTable,
    new_state: EditState,
) -> Changes:
    """Apply the before images of `source`, last first, and note where `edit` stands now."""
    check_code(by, "reviewer")
    session_id = SessionId(session.id)
    made = [_restore(db, change) for change in reversed(changes_of(db, source.id))]
    edit.state = new_state.value
    edit_id = record(
        db,
        session_id,
        kind=edit.kind,
        by=by,
        state=EditState.REVERSAL,
        undoes=source.id,
        changes=made,
    )
    session.edited_at = datetime.now(UTC)
    return described(edit_id, session_id, edit.kind, made)


def _restore(db: Session, change: RowChange) -> RowChange:
    if not agrees(image_now(db, change.kind, change.row_id), change.after):
        raise UserFacingError(
            f"The {change.kind.noun} was changed by somebody else since.",
            "Nothing was changed. Change it by hand instead.",
        )
    place(db, change.kind, change.row_id, change.before)
    return RowChange(change.kind, change.row_id, change.after, change.before)
