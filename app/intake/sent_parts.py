"""The clips of a case as they are sent to a process that decodes them."""

from __future__ import annotations

from annotate.case import Case, ClipRecord
from annotate.errors import UserFacingError
from app.handback.case_frames import SentPart
from app.intake.clips import find_clip, kept_index
from store import Store


def sent_parts(store: Store, case: Case) -> list[SentPart]:
    """Every clip with its index, as far as both are there."""
    return [_part(store, case, clip) for clip in case.clips]


def _part(store: Store, case: Case, clip: ClipRecord) -> SentPart:
    index = kept_index(store, clip.fingerprint)
    try:
        path = find_clip(store, case, clip)
    except UserFacingError:
        path = None
    packed = index.to_bytes() if index is not None else None
    return SentPart(path, packed, clip.n_frames, clip.duration_us, clip.lead_us)
