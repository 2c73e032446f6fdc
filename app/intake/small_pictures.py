"""Small pictures of a case's clips: taken from the store, made where they are not there yet."""

from __future__ import annotations

from collections.abc import Callable

from annotate.case import Case, ClipRecord
from annotate.clip import ALGORITHM_VERSION
from annotate.clip.thumbnails import THUMBNAIL_VERSION, Thumbnails
from app.intake.clips import find_clip, packed_index
from app.intake.decoding import thumbnail_parts
from app.jobs.apart import apart
from app.jobs.work import Work
from store import Store

THUMBNAIL_KIND = "thumbnails"
_VERSION = f"{THUMBNAIL_VERSION}.{ALGORITHM_VERSION}"
"""Frames are numbered by the index, so its version counts too."""

_KEEP_EVERY = 150
"""Pictures made between two times that they are kept; the first fifty are kept at once."""


def kept_thumbnails(store: Store, mark: str) -> Thumbnails:
    """What the store has of a clip; empty where that is nothing or damaged."""
    content = store.derived(THUMBNAIL_KIND, mark, _VERSION)
    try:
        return Thumbnails() if content is None else Thumbnails.from_bytes(content)
    except ValueError:
        return Thumbnails()  # derived data may be damaged; it is made again


def make_small_pictures(
    store: Store, case: Case, clip: ClipRecord, on_more: Callable[[Thumbnails], object], work: Work
) -> Thumbnails:
    """Make those that are missing, in a quiet process of their own, and keep them as they come.

    Parameters
    ----------
    on_more : callable
        Given all that are there, whenever there are more.

    Raises
    ------
    UserFacingError
        If the clip cannot be found or read. What was made until then is kept.
    Cancelled
        If it was called off. What was made until then is kept.
    """
    found = _Growing(store, clip.fingerprint, on_more)
    if found.there.is_complete:
        return found.there
    path = find_clip(store, case, clip)
    index = packed_index(store, path, clip.fingerprint, work)
    there = found.there.numbers.tolist()
    try:
        apart(
            thumbnail_parts, path, index, there,
            work=work, reading=path.name, on_part=found.add, is_quiet=True,
        )  # fmt: skip
    finally:
        found.keep()
    return found.there


class _Growing:
    """The small pictures of a clip while they are made."""

    def __init__(self, store: Store, mark: str, on_more: Callable[[Thumbnails], object]) -> None:
        self._store, self._mark, self._on_more = store, mark, on_more
        self.there = kept_thumbnails(store, mark)
        self._n_kept = len(self.there)
        if self._n_kept:
            on_more(self.there)

    def add(self, content: bytes) -> None:
        """Take a part in."""
        self.there = self.there.with_more(Thumbnails.from_bytes(content))
        self._on_more(self.there)
        n = len(self.there)
        if n - self._n_kept >= (_KEEP_EVERY if self._n_kept else 50):
            self.keep()

    def keep(self) -> None:
        """Keep what is not kept yet."""
        if len(self.there) > self._n_kept or self.there.is_complete:
            content = self.there.to_bytes()
            self._store.keep_derived(THUMBNAIL_KIND, self._mark, _VERSION, content)
            self._n_kept = len(self.there)
