"""Add parts to a case that is in: all of them, or nothing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from annotate.case import Case
from app.intake.reading import read_clips
from app.jobs.work import Work
from store import Store


def add_parts(
    store: Store, case: Case, paths: Sequence[Path], by: str, work: Work | None = None
) -> Case:
    """Check and index files and add them behind the last part of a case.

    Raises
    ------
    UserFacingError
        Whatever is wrong with a file; nothing is added then.
    Cancelled
        If the user stopped it; nothing is added then either.
    """
    work = work or Work("Reading the new parts")
    clips = read_clips(store, paths, work)
    return store.add_clips(case.id, clips, len(case.clips), by)
