"""Signed reviews: the hash of what they say, and the edition that goes on from one."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from annotate.case import ReviewSession, SessionStatus
from annotate.errors import UserFacingError
from annotate.ids import SessionId, new_id
from annotate.people import check_code
from store.entries import write
from store.journal import RowChange, record
from store.models import EditState, SessionTable
from store.rows import KINDS, Image, RowKind
from store.sessions import read, stored_session

GONE_ON = "gone on with the signed review"
_REFERENCES = ("mark_id", "calibration_id")


def content_hash(db: Session, session_id: SessionId) -> str:
    """SHA-256 of all that a session says: every row of every kind, in order of id."""
    content = {
        kind.name: sorted(
            (
                {column: value for column, value in row.items() if column != "session_id"}
                for row in _images(db, kind, session_id)
            ),
            key=lambda image: str(image["id"]),
        )
        for kind in KINDS
    }
    text = json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def is_as_signed(db: Session, session_id: SessionId) -> bool | None:
    """Whether a session still says what was signed; None where it has no hash."""
    stored = stored_session(db, session_id)
    if not stored.content_hash:
        return None
    return content_hash(db, session_id) == stored.content_hash


def next_edition(db: Session, session_id: SessionId, by: str) -> ReviewSession:
    """Go on with a signed review in a new draft that begins with all that it says.

    Raises
    ------
    UserFacingError
        If it is not signed.
    """
    check_code(by, "reviewer")
    before = stored_session(db, session_id)
    if before.status != SessionStatus.SIGNED:
        raise UserFacingError("This review is not signed yet.", "Go on with it as it is.")
    going_on = db.scalar(select(SessionTable).where(SessionTable.follows_id == session_id))
    if going_on is not None:
        return read(db, SessionId(going_on.id))
    now = datetime.now(UTC)
    fresh = SessionTable(
        id=new_id(),
        case_id=before.case_id,
        reviewer_id=before.reviewer_id,
        reviewer_kind=before.reviewer_kind,
        status=SessionStatus.DRAFT.value,
        started_at=now,
        edited_at=now,
        signed_at=None,
        edition=before.edition + 1,
        follows_id=before.id,
        content_hash="",
        is_veiled=before.is_veiled,
        vocabulary_hash=before.vocabulary_hash,
    )
    db.add(fresh)
    db.flush()
    changes = _copies(db, session_id, fresh.id)
    write(db, changes)
    record(db, SessionId(fresh.id), kind=GONE_ON, by=by, state=EditState.CLOSED, changes=changes)
    return read(db, SessionId(fresh.id))


def _copies(db: Session, session_id: SessionId, fresh_id: str) -> list[RowChange]:
    """Every row anew, with an id of its own; rows that name one another still do."""
    found = [(kind, image) for kind in KINDS for image in _images(db, kind, session_id)]
    ids = {str(image["id"]): new_id() for _, image in sorted(found, key=lambda f: f[1]["id"])}
    return [
        RowChange(kind, ids[image["id"]], None, _copied(image, ids, fresh_id))
        for kind, image in found
    ]


def _copied(image: Image, ids: dict[str, str], session_id: str) -> Image:
    named = {c: ids.get(image[c]) for c in _REFERENCES if image.get(c) is not None}
    return {**image, **named, "id": ids[image["id"]], "session_id": session_id}


def _images(db: Session, kind: RowKind, session_id: SessionId) -> list[Image]:
    found = db.execute(kind.select().where(kind.table.c.session_id == session_id))
    return [dict(row) for row in found.mappings()]
