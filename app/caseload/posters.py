"""The picture that stands for a case in the list: made once, kept with the clip's fingerprint."""

from __future__ import annotations

from annotate.case import Case
from annotate.errors import UserFacingError
from app.intake.clips import find_clip, packed_index
from app.intake.decoding import poster_bytes
from app.jobs.apart import decoded
from app.jobs.work import Work
from store import Store

POSTER_KIND = "poster"
_VERSION = "1"
_PLACE = 0.35


def kept_poster(store: Store, case: Case) -> bytes | None:
    """A case's poster as JPEG, if it was made before."""
    if not case.clips:
        return None
    return store.derived(POSTER_KIND, case.clips[0].fingerprint, _VERSION)


def make_poster(store: Store, case: Case, work: Work) -> bytes | None:
    """Make a case's poster from a frame about a third into it; None if its clip cannot be read."""
    work.check()
    ordinal, clip_us = case.clock.to_clip(int(case.length_us * _PLACE))
    clip = case.clips[ordinal]
    try:
        path = find_clip(store, case, clip)
        index = packed_index(store, path, clip.fingerprint, work)
        content = decoded(poster_bytes, path, index, clip_us, work=work, reading=path.name)
    except UserFacingError:
        return None  # opening the case says what is wrong; the list goes without its picture
    store.keep_derived(POSTER_KIND, case.clips[0].fingerprint, _VERSION, content)
    return content
