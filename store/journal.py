"""The journal of edits: who did what to which row, and where each edit stands in the undo list.

An edit is first ``done``. Undoing it makes it ``undone`` and adds an edit that is a ``reversal``;
redoing makes it ``done`` again and adds a reversal of that reversal. A new edit makes every undone
one ``dropped``. Signing makes every done one ``closed``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import func, insert, select, update
from sqlalchemy.orm import Session

from annotate.ids import SessionId, new_id
from store.changes import EditRecord
from store.models import EditChangeTable, EditState, EditTable
from store.rows import Image, RowKind, image_from, image_text, kind_of_table


@dataclass(frozen=True, slots=True)
class RowChange:
    """What happened to one row; no image means no row."""

    kind: RowKind
    row_id: str
    before: Image | None
    after: Image | None


def record(
    db: Session,
    session_id: SessionId,
    *,
    kind: str,
    by: str,
    state: EditState,
    undoes: str | None = None,
    changes: Sequence[RowChange] = (),
    at: datetime | None = None,
) -> str:
    """Write one edit and its changes into the journal; returns its id."""
    last = db.scalar(select(func.max(EditTable.position)).where(EditTable.session_id == session_id))
    edit_id = new_id()
    db.execute(
        insert(EditTable).values(
            id=edit_id,
            session_id=session_id,
            position=(last or 0) + 1,
            kind=kind,
            made_by=by,
            made_at=at or datetime.now(UTC),
            undoes_id=undoes,
            state=state.value,
        )
    )
    if changes:
        stored = [_stored_change(edit_id, n, change) for n, change in enumerate(changes)]
        db.execute(insert(EditChangeTable), stored)
    return edit_id


def changes_of(db: Session, edit_id: str) -> list[RowChange]:
    """Read what an edit did, in order."""
    found = db.scalars(
        select(EditChangeTable)
        .where(EditChangeTable.edit_id == edit_id)
        .order_by(EditChangeTable.position)
    )
    return [
        RowChange(
            kind_of_table(stored.table_name),
            stored.row_id,
            image_from(stored.before_json),
            image_from(stored.after_json),
        )
        for stored in found
    ]


def next_to_undo(db: Session, session_id: SessionId) -> EditTable | None:
    """Find the last edit that stands."""
    return db.scalar(
        select(EditTable)
        .where(EditTable.session_id == session_id, EditTable.state == EditState.DONE.value)
        .order_by(EditTable.position.desc())
        .limit(1)
    )


def next_to_redo(db: Session, session_id: SessionId) -> EditTable | None:
    """Find the first edit that was taken back and may be brought back."""
    return db.scalar(
        select(EditTable)
        .where(EditTable.session_id == session_id, EditTable.state == EditState.UNDONE.value)
        .order_by(EditTable.position)
        .limit(1)
    )


def reversal_of(db: Session, edit_id: str) -> EditTable | None:
    """Find the last edit that took `edit_id` back."""
    return db.scalar(
        select(EditTable)
        .where(EditTable.undoes_id == edit_id)
        .order_by(EditTable.position.desc())
        .limit(1)
    )


def drop_redo(db: Session, session_id: SessionId) -> None:
    """Let go of what was taken back: something new has been done since."""
    _restate(db, session_id, EditState.UNDONE, EditState.DROPPED)


def close_undo_list(db: Session, session_id: SessionId) -> None:
    """Make all that was done final."""
    drop_redo(db, session_id)
    _restate(db, session_id, EditState.DONE, EditState.CLOSED)


def history(db: Session, session_id: SessionId) -> tuple[EditRecord, ...]:
    """List a session's edits in the order in which they were made, undos and redos included."""
    found = db.scalars(
        select(EditTable).where(EditTable.session_id == session_id).order_by(EditTable.position)
    )
    gone = (EditState.UNDONE.value, EditState.DROPPED.value)
    return tuple(
        EditRecord(
            id=edit.id,
            session_id=SessionId(edit.session_id),
            kind=edit.kind,
            by=edit.made_by,
            at=edit.made_at,
            is_undone=edit.state in gone,
            undoes=edit.undoes_id,
            can_undo=edit.state == EditState.DONE.value,
            can_redo=edit.state == EditState.UNDONE.value,
        )
        for edit in found
    )


def _restate(db: Session, session_id: SessionId, old: EditState, new: EditState) -> None:
    db.execute(
        update(EditTable)
        .where(EditTable.session_id == session_id, EditTable.state == old.value)
        .values(state=new.value)
        .execution_options(synchronize_session=False)
    )


def _stored_change(edit_id: str, position: int, change: RowChange) -> dict[str, object]:
    return {
        "edit_id": edit_id,
        "position": position,
        "table_name": change.kind.name,
        "row_id": change.row_id,
        "before_json": image_text(change.before),
        "after_json": image_text(change.after),
    }
