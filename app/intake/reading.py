"""Files on their way in: checked, indexed, described, and refused while they are being copied."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from annotate.case import ClipRecord
from annotate.clip.growing import FileLook, look_twice, refuse_growing
from app.intake.clips import check_place, check_readable, read_clip
from app.jobs.work import Work
from store import Store


def read_clips(store: Store, paths: Sequence[Path], work: Work) -> list[ClipRecord]:
    """Check all files first, then index them one by one.

    Raises
    ------
    UserFacingError
        Whatever is wrong with one of them, or if it is still being copied.
    Cancelled
        If the user stopped it.
    """
    looks: list[FileLook] = []
    for path in paths:
        check_place(path)
        looks.append(look_twice(path, work.cancel.wait))
        work.check()
        check_readable(path, work)
    clips: list[ClipRecord] = []
    for n, path in enumerate(paths):
        work.check()
        work.title = f"Reading {path.name} ({n + 1} of {len(paths)})"
        record, _ = read_clip(store, path, work)
        refuse_growing(path, looks[n])
        clips.append(record)
    return clips
