"""Where following marks go: taken from the store, made where it is not there yet."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

from annotate.case import Case
from annotate.clip import ALGORITHM_VERSION
from annotate.errors import UserFacingError
from annotate.ids import RowId
from annotate.mark_motion import MOTION_VERSION, MarkPath, content_of
from annotate.marks import Mark
from app.intake.mark_tracking import path_bytes
from app.intake.sent_parts import sent_parts
from app.jobs.apart import apart, decoded
from app.jobs.work import Work
from store import Store

PATH_KIND = "mark-path"
_VERSION = f"{MOTION_VERSION}.{ALGORITHM_VERSION}"


def path_fingerprint(case: Case, mark: Mark) -> str:
    """Of all that a path depends on: where and when the mark is, and the clips beneath it."""
    clips = [(clip.fingerprint, clip.lead_us, clip.duration_us) for clip in case.clips]
    return hashlib.sha256(repr((content_of(mark), clips)).encode()).hexdigest()


def kept_path(store: Store, case: Case, mark: Mark) -> MarkPath | None:
    """What the store has of a mark; None where that is nothing or damaged."""
    content = store.derived(PATH_KIND, path_fingerprint(case, mark), _VERSION)
    try:
        return None if content is None else MarkPath.from_bytes(content)
    except ValueError:
        return None  # derived data may be damaged; it is made again


def make_path(store: Store, case: Case, mark: Mark, work: Work) -> MarkPath:
    """Follow a mark and keep where it goes; from the store where that is known.

    Raises
    ------
    UserFacingError
        If the recording cannot be read there.
    Cancelled, ReadingStopped
        If it was called off; nothing is kept then.
    """
    kept = kept_path(store, case, mark)
    if kept is not None:
        return kept
    parts = sent_parts(store, case)
    if work.decodes_apart:
        content = apart(path_bytes, parts, mark, work=work, is_quiet=True)
    else:
        content = decoded(path_bytes, parts, mark, work=work, reading="the recording")
    store.keep_derived(PATH_KIND, path_fingerprint(case, mark), _VERSION, content)
    return MarkPath.from_bytes(content)


def packed_paths(store: Store, case: Case, marks: Iterable[Mark], work: Work) -> dict[RowId, bytes]:
    """Paths of all following marks, packed; one that cannot be followed has none.

    Raises
    ------
    Cancelled, ReadingStopped
        If it was called off.
    """
    found: dict[RowId, bytes] = {}
    for mark in marks:
        if not mark.is_following:
            continue
        try:
            found[mark.id] = make_path(store, case, mark, work).to_bytes()
        except UserFacingError:
            continue  # it stands where a hand put it last
    return found
