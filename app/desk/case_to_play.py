"""What the player needs to open a case: where its clips are now, and their indexes."""

from __future__ import annotations

from annotate.case import Case, ClipRecord
from annotate.clip import ALGORITHM_VERSION
from annotate.errors import UserFacingError
from app.intake.clips import INDEX_KIND, find_clip
from app.playing.messages import PartToOpen
from app.playing.shown import CACHE_BYTES, CaseToPlay
from store import Store

_VERSION = str(ALGORITHM_VERSION)


def case_to_play(store: Store, case: Case, cache_bytes: int = CACHE_BYTES) -> CaseToPlay:
    """Find a case's clips; a part that is not there is told when it is come to.

    Raises
    ------
    UserFacingError
        If none of them is there.
    """
    parts = tuple(_part(store, case, clip) for clip in case.clips)
    if parts and all(part.missing for part in parts):
        raise UserFacingError(parts[0].missing)

    def keep_index(part: int, content: bytes) -> None:
        store.keep_derived(INDEX_KIND, case.clips[part].fingerprint, _VERSION, content)

    return CaseToPlay(parts, keep_index, cache_bytes)


def _part(store: Store, case: Case, clip: ClipRecord) -> PartToOpen:
    index = store.derived(INDEX_KIND, clip.fingerprint, _VERSION)
    path, missing = clip.path, ""
    try:
        path = str(find_clip(store, case, clip))
    except UserFacingError as trouble:
        missing = str(trouble)
    lead_us = getattr(clip, "lead_us", 0)
    return PartToOpen(path, index, clip.n_frames, clip.duration_us, lead_us, missing)
