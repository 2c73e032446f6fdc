"""Undo and redo, by the images in the journal; both are ordinary edits that name what they undo."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from sqlalchemy.orm import Session

from annotate.errors import UserFacingError
from annotate.ids import SessionId
from annotate.people import check_code
from store.changes import Changes
from store.edits import described
from store.entries import images_now, write
from store.journal import (
    RowChange,
    changes_of,
    next_to_redo,
    next_to_undo,
    record,
    reversal_of,
)
from store.models import EditState, EditTable, SessionTable
from store.rows import RowKind, agrees
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
    """Apply the before images of `source` and note where `edit` stands now."""
    check_code(by, "reviewer")
    session_id = SessionId(session.id)
    made = _restored(db, changes_of(db, source.id))
    write(db, made)
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


def _restored(db: Session, changes: Sequence[RowChange]) -> list[RowChange]:
    """The changes backwards, if every row still is as they left it."""
    ids: dict[RowKind, list[str]] = {}
    for change in changes:
        ids.setdefault(change.kind, []).append(change.row_id)
    now = {kind: images_now(db, kind, ids_of_kind) for kind, ids_of_kind in ids.items()}
    for change in changes:
        if not agrees(now[change.kind].get(change.row_id), change.after):
            raise UserFacingError(
                f"The {change.kind.noun} was changed by somebody else since.",
                "Nothing was changed. Change it by hand instead.",
            )
    return [RowChange(c.kind, c.row_id, c.after, c.before) for c in changes]
