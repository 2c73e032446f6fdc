"""Edits: one transaction, one undo step, one description of what changed."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime

from sqlalchemy.orm import Session

from annotate.errors import UserFacingError
from annotate.ids import RowId, SessionId
from annotate.people import check_code
from store.changes import Changes, Drop, Put
from store.journal import RowChange, drop_redo, record
from store.models import EditState
from store.rows import Image, RowKind, agrees, checked_text, image_of, image_of_model, kind_of
from store.sessions import stored_session


def edit(
    db: Session, session_id: SessionId, kind: str, by: str, changes: Iterable[Put | Drop]
) -> Changes:
    """Make one edit in the open transaction; see `store.desk_store.Store.edit`."""
    check_code(by, "reviewer")
    wanted = [_wanted(session_id, change) for change in changes]
    if not wanted or not checked_text(kind).strip():
        raise ValueError("an edit has a kind and changes something")
    session = stored_session(db, session_id, is_to_write=True)
    made = [change for change in (_apply(db, session_id, w) for w in wanted) if change]
    if not made:
        return Changes("", session_id, kind)
    drop_redo(db, session_id)
    edit_id = record(db, session_id, kind=kind, by=by, state=EditState.DONE, changes=made)
    session.edited_at = datetime.now(UTC)
    return described(edit_id, session_id, kind, made)


def place(db: Session, kind: RowKind, row_id: str, image: Image | None) -> None:
    """Make a row as an image says: put it in, change it, or take it away."""
    stored = db.get(kind.model, row_id)
    if image is None:
        if stored is not None:
            db.delete(stored)
    elif stored is None:
        db.add(kind.model(**image))
    else:
        for column, value in image.items():
            setattr(stored, column, value)
    db.flush()


def image_now(db: Session, kind: RowKind, row_id: str) -> Image | None:
    """Image of a row as it stands."""
    stored = db.get(kind.model, row_id)
    return None if stored is None else image_of_model(kind, stored)


def described(
    edit_id: str, session_id: SessionId, kind: str, changes: Iterable[RowChange]
) -> Changes:
    """Describe what was changed, by where each row ended."""
    last = {(change.kind.table, change.row_id): change.after for change in changes}
    return Changes(
        edit_id=edit_id,
        session_id=session_id,
        kind=kind,
        tables=frozenset(table for table, _ in last),
        put=tuple(RowId(row_id) for (_, row_id), after in last.items() if after is not None),
        dropped=tuple(RowId(row_id) for (_, row_id), after in last.items() if after is None),
    )


def _wanted(session_id: SessionId, change: Put | Drop) -> tuple[RowKind, str, Image | None]:
    if isinstance(change, Drop):
        return kind_of(change.row_type), change.id, None
    if change.row.session_id != session_id:
        raise ValueError("a row goes into its own session")
    return kind_of(type(change.row)), change.row.id, image_of(change.row)


def _apply(
    db: Session, session_id: SessionId, wanted: tuple[RowKind, str, Image | None]
) -> RowChange | None:
    """Make one change; None where the row is so already."""
    kind, row_id, after = wanted
    before = image_now(db, kind, row_id)
    if before is not None and before["session_id"] != session_id:
        raise ValueError("the row belongs to another session")
    if after is None and before is None:
        raise UserFacingError(
            f"The {kind.noun} is no longer there.",
            "Nothing was changed. Look at what is there now.",
        )
    if agrees(before, after):
        return None
    place(db, kind, row_id, after)
    return RowChange(kind, row_id, before, after)
