"""Derived content: may be deleted at any time and made again."""

from __future__ import annotations

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from annotate.errors import UserFacingError
from annotate.ids import ClipId, RowId
from annotate.marks import Track
from store.models import ClipTable, DerivedTable, TrackTable


def derived(db: Session, kind: str, fingerprint: str, version: str) -> bytes | None:
    """Find derived content made from that input by that version; None where there is none."""
    stored = db.get(DerivedTable, (kind, fingerprint))
    return stored.content if stored is not None and stored.version == version else None


def keep_derived(db: Session, kind: str, fingerprint: str, version: str, content: bytes) -> None:
    """Keep derived content in place of what another version made."""
    db.merge(DerivedTable(kind=kind, fingerprint=fingerprint, version=version, content=content))


def drop_derived(db: Session) -> None:
    """Let go of everything derived, tracks included."""
    db.execute(delete(DerivedTable))
    db.execute(delete(TrackTable))


def tracks(db: Session, clip_id: ClipId) -> tuple[Track, ...]:
    """List a clip's tracks in order of kind and algorithm."""
    found = db.scalars(
        select(TrackTable)
        .where(TrackTable.clip_id == clip_id)
        .order_by(TrackTable.kind, TrackTable.algorithm)
    )
    return tuple(
        Track(
            id=RowId(stored.id),
            clip_id=ClipId(stored.clip_id),
            kind=stored.kind,
            algorithm=stored.algorithm,
            version=stored.version,
            fingerprint=stored.fingerprint,
            content=stored.content,
        )
        for stored in found
    )


def keep_track(db: Session, track: Track) -> None:
    """Keep a track in place of an earlier one of the same clip, kind and algorithm.

    Raises
    ------
    UserFacingError
        If the clip's case was taken out of the store meanwhile.
    """
    if db.get(ClipTable, track.clip_id) is None:
        raise UserFacingError("The clip is no longer in the store.", "Open the case again.")
    db.execute(
        delete(TrackTable).where(
            TrackTable.clip_id == track.clip_id,
            TrackTable.kind == track.kind,
            TrackTable.algorithm == track.algorithm,
        )
    )
    db.add(
        TrackTable(
            id=track.id,
            clip_id=track.clip_id,
            kind=track.kind,
            algorithm=track.algorithm,
            version=track.version,
            fingerprint=track.fingerprint,
            content=track.content,
        )
    )
