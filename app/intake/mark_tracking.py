"""Following a mark, where the clips are decoded: on the desk in a process of its own. No Qt."""

from __future__ import annotations

from collections.abc import Sequence

from annotate.mark_motion import track
from annotate.marks import Mark
from app.handback.case_frames import SentPart, sent_case
from app.jobs.work import Work


def path_bytes(parts: Sequence[SentPart], mark: Mark, *, work: Work) -> bytes:
    """Where a mark goes, packed.

    Raises
    ------
    UserFacingError
        If the part of the recording that it is on cannot be read.
    Cancelled, ReadingStopped
        If it was called off.
    """
    with sent_case(parts, work.cancel) as reader:
        return track(reader, mark, work.cancel, work.advance).to_bytes()
