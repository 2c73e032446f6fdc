"""What was found at the joins of a case's parts: kept in the store, found again where it is not."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from annotate.case import Case, ClipRecord
from annotate.clip.joins import ALGORITHM_VERSION, Join
from annotate.errors import UserFacingError
from app.intake.clips import find_clip, packed_index
from app.intake.decoding import join_bytes
from app.jobs.apart import decoded
from app.jobs.work import Work
from store import Store

_KIND = "join"
_VERSION = str(ALGORITHM_VERSION)


def kept_joins(store: Store, case: Case) -> tuple[Join | None, ...]:
    """What is known of each join of a case, in order; None where nobody looked yet."""
    return tuple(kept_join(store, *pair) for pair in _pairs(case))


def find_joins(store: Store, case: Case, work: Work | None = None) -> tuple[Join | None, ...]:
    """Look at every join that nobody looked at yet; None where a part is not there.

    Raises
    ------
    Cancelled, ReadingStopped
        If the user has stopped the work; what was found so far is kept.
    """
    work = work or Work()
    found = []
    for n, (one, other) in enumerate(_pairs(case)):
        work.check()
        join = kept_join(store, one, other)
        if join is None:
            work.title = f"Looking at the join before part {n + 2} of {case.code}"
            with suppress(UserFacingError):  # a part that is away says so itself
                join = _looked_at(store, case, one, other, work)
        found.append(join)
    return tuple(found)


def kept_join(store: Store, one: ClipRecord, other: ClipRecord) -> Join | None:
    """What is known of the join between two clips."""
    content = store.derived(_KIND, _key(one, other), _VERSION)
    if content is None:
        return None
    try:
        return Join.from_bytes(content)
    except ValueError:
        return None  # derived data may be damaged; it is made again


def _looked_at(store: Store, case: Case, one: ClipRecord, other: ClipRecord, work: Work) -> Join:
    sides: list[tuple[Path, bytes]] = []
    for clip in (one, other):
        path = find_clip(store, case, clip)
        sides.append((path, packed_index(store, path, clip.fingerprint, work)))
    content = decoded(join_bytes, *sides, work=work, reading=sides[1][0].name)
    store.keep_derived(_KIND, _key(one, other), _VERSION, content)
    return Join.from_bytes(content)


def _pairs(case: Case) -> list[tuple[ClipRecord, ClipRecord]]:
    return list(zip(case.clips, case.clips[1:], strict=False))


def _key(one: ClipRecord, other: ClipRecord) -> str:
    return f"{one.fingerprint} {other.fingerprint}"
