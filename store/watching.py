"""What of a case was watched in a session: kept beside the journal, never undone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from sqlalchemy import delete, insert, select
from sqlalchemy.orm import Session

from annotate.ids import SessionId, new_id
from annotate.rearranging import Rearrangement
from annotate.watching import Watched
from store.models import WatchedTable
from store.sessions import stored_session


def keep_watched(db: Session, session_id: SessionId, spans: Sequence[Watched]) -> None:
    """Add stretches that were watched; a signed session takes no more.

    One that goes on from the last at its speed makes that longer, so that a long run is one row
    however often it was kept.
    """
    stored_session(db, session_id, is_to_write=True)
    now = datetime.now(UTC)
    if not spans:
        return
    last = db.scalar(
        select(WatchedTable)
        .where(WatchedTable.session_id == session_id)
        .order_by(WatchedTable.watched_at.desc(), WatchedTable.id.desc())
        .limit(1)
    )
    first = spans[0]
    if last is not None and (last.end_us, last.speed) == (first.start_us, first.speed):
        last.end_us, last.watched_at = first.end_us, now
        db.flush()
        spans = spans[1:]
    if spans:
        db.execute(
            insert(WatchedTable),
            [
                {
                    "id": new_id(),
                    "session_id": session_id,
                    "start_us": span.start_us,
                    "end_us": span.end_us,
                    "speed": span.speed,
                    "watched_at": now,
                }
                for span in spans
            ],
        )


def move_watched(db: Session, session_id: SessionId, moves: Rearrangement) -> None:
    """Take what was watched along when parts move, in a signed session too.

    A stretch that is torn apart becomes several; they add up to the same.
    """
    if moves.is_still:
        return
    found = db.scalars(select(WatchedTable).where(WatchedTable.session_id == session_id)).all()
    made = [
        {
            "id": new_id(),
            "session_id": session_id,
            "start_us": start_us,
            "end_us": end_us,
            "speed": row.speed,
            "watched_at": row.watched_at,
        }
        for row in found
        for start_us, end_us in moves.spans(row.start_us, row.end_us)
    ]
    db.execute(delete(WatchedTable).where(WatchedTable.session_id == session_id))
    if made:
        db.execute(insert(WatchedTable), made)


def watched(db: Session, session_id: SessionId) -> tuple[Watched, ...]:
    """Stretches in the order in which they were watched."""
    found = db.execute(
        select(WatchedTable.start_us, WatchedTable.end_us, WatchedTable.speed)
        .where(WatchedTable.session_id == session_id)
        .order_by(WatchedTable.watched_at, WatchedTable.id)
    )
    return tuple(Watched(row.start_us, row.end_us, row.speed) for row in found)
