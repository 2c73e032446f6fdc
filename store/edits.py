"""Edits: one transaction, one undo step, one description of what changed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime

from sqlalchemy.orm import Session

from annotate.errors import UserFacingError
from annotate.ids import RowId, SessionId
from annotate.people import check_code
from store.changes import Changes, Drop, Put
from store.entries import images_now, write
from store.journal import RowChange, drop_redo, record
from store.models import EditState
from store.rows import Image, RowKind, agrees, checked_text, image_of, kind_of, value_of
from store.sessions import stored_session

Wanted = dict[tuple[RowKind, str], Image | None]
"""What each row shall be in the end; None for a row that shall go."""


def edit(
    db: Session,
    session_id: SessionId,
    kind: str,
    by: str,
    changes: Sequence[Put | Drop],
    at: datetime | None = None,
) -> Changes:
    """Make one edit in the open transaction; see `store.desk_store.Store.edit`."""
    check_code(by, "reviewer")
    if not changes or not checked_text(kind).strip():
        raise ValueError("an edit has a kind and changes something")
    session = stored_session(db, session_id, is_to_write=True)
    made = _row_changes(db, session_id, changes)
    if not made:
        return Changes("", session_id, kind)
    write(db, made)
    drop_redo(db, session_id)
    at = at or datetime.now(UTC)
    edit_id = record(db, session_id, kind=kind, by=by, state=EditState.DONE, changes=made, at=at)
    session.edited_at = at
    return described(edit_id, session_id, kind, made)


def described(
    edit_id: str, session_id: SessionId, kind: str, changes: Iterable[RowChange]
) -> Changes:
    """Describe what was changed."""
    rows = [(c.kind, c.after, RowId(c.row_id)) for c in changes]
    return Changes(
        edit_id=edit_id,
        session_id=session_id,
        kind=kind,
        tables=frozenset(row_kind.name for row_kind, _, _ in rows),
        put=tuple(row_id for _, after, row_id in rows if after is not None),
        dropped=tuple(row_id for _, after, row_id in rows if after is None),
        rows=tuple(value_of(row_kind, after) for row_kind, after, _ in rows if after is not None),
    )


def _row_changes(
    db: Session, session_id: SessionId, changes: Sequence[Put | Drop]
) -> list[RowChange]:
    """Work out what becomes of each row; rows that end as they were are left out."""
    wanted: Wanted = {}
    before = _befores(db, changes)
    for change in changes:
        kind, row_id = _key(change)
        known = wanted[kind, row_id] if (kind, row_id) in wanted else before[kind].get(row_id)
        wanted[kind, row_id] = _after(session_id, kind, change, known)
    return [
        RowChange(kind, row_id, before[kind].get(row_id), after)
        for (kind, row_id), after in wanted.items()
        if not agrees(before[kind].get(row_id), after)
    ]


def _befores(db: Session, changes: Sequence[Put | Drop]) -> dict[RowKind, dict[str, Image]]:
    ids: dict[RowKind, list[str]] = {}
    for kind, row_id in map(_key, changes):
        ids.setdefault(kind, []).append(row_id)
    return {kind: images_now(db, kind, ids_of_kind) for kind, ids_of_kind in ids.items()}


def _key(change: Put | Drop) -> tuple[RowKind, str]:
    if isinstance(change, Drop):
        return kind_of(change.row_type), change.id
    return kind_of(type(change.row)), change.row.id


def _after(
    session_id: SessionId, kind: RowKind, change: Put | Drop, before: Image | None
) -> Image | None:
    """Image of a row after one change, None where it goes; refuses what cannot be done."""
    if before is not None and before["session_id"] != session_id:
        raise ValueError("the row belongs to another session")
    if isinstance(change, Put):
        if change.row.session_id != session_id:
            raise ValueError("a row goes into its own session")
        return image_of(change.row)
    if before is None:
        raise UserFacingError(
            f"The {kind.noun} is no longer there.",
            "Nothing was changed. Look at what is there now.",
        )
    return None
