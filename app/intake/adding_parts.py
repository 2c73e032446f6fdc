"""Add parts to a case that is in: all of them, or nothing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from annotate.case import Case
from app.intake.clips import check_place, check_readable, read_clip
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
    for path in paths:
        check_place(path)
        check_readable(path, work)
    clips = []
    for n, path in enumerate(paths):
        work.check()
        work.title = f"Reading {path.name} ({n + 1} of {len(paths)})"
        record, _ = read_clip(store, path, work)
        clips.append(record)
    return store.add_clips(case.id, clips, len(case.clips), by)
