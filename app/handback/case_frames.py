"""Frames of a case for its stills, part by part: a part that is missing costs only its own.

On the desk this runs in a process of its own: no Qt, and a part crosses as bytes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from annotate.clip import CasePart, CaseReader, ClipIndex, build_index
from annotate.clip.stopping import Cancel
from annotate.errors import UserFacingError
from annotate.ids import RowId
from annotate.mark_motion import MarkPath
from annotate.markup import Markup
from annotate.vocabulary import Vocabulary
from app.handback.stills import FrameAt, FrameMissing, ShownFrame, Stills, collect_stills
from app.jobs.work import Work


@dataclass(frozen=True, slots=True)
class SentPart:
    """One clip of the case, as it is sent to where its frames are decoded.

    Attributes
    ----------
    path : Path or None
        None where the file was not found.
    index : bytes or None
        Packed; None where it is still to be made.
    n_frames, duration_us, lead_us : int
        As the store has them.
    """

    path: Path | None
    index: bytes | None
    n_frames: int
    duration_us: int
    lead_us: int = 0


def stills_of(
    parts: Sequence[SentPart],
    markup: Markup,
    vocabulary: Vocabulary,
    paths: Mapping[RowId, bytes] | None = None,
    *,
    work: Work,
) -> Stills:
    """Make the stills of all moments that the note tells.

    Parameters
    ----------
    paths : mapping of RowId to bytes, optional
        Where following marks go, packed.

    Raises
    ------
    Cancelled, ReadingStopped
        If it was called off.
    """
    ways = {mark_id: MarkPath.from_bytes(path) for mark_id, path in (paths or {}).items()}
    with case_frames(parts, work.cancel) as frames:
        return collect_stills(markup, vocabulary, frames, work.advance, work.cancel, ways)


@contextmanager
def case_frames(parts: Sequence[SentPart], cancel: Cancel = None) -> Iterator[FrameAt]:
    """Open a case's clips as they are needed and close them at the end.

    Yields
    ------
    callable
        From case time to the frame shown then. It raises FrameMissing where the part that holds
        it is not there or is damaged, in a sentence that names the part and no file.
    """
    with sent_case(parts, cancel) as reader:

        def frame_at(time_us: int) -> ShownFrame:
            number = reader.number_at(time_us)
            ordinal, _ = reader.locate(number)
            try:
                found = reader.shown(number, cancel)
                rgb = found.frame.rgb()
            except UserFacingError as error:
                raise FrameMissing(_missing(ordinal, len(parts))) from error
            return ShownFrame(found.number, found.time_us, rgb, found.frame.is_stand_in)

        yield frame_at


def sent_case(parts: Sequence[SentPart], cancel: Cancel = None) -> CaseReader:
    """A reader of the parts, each opened when it is first needed."""
    return CaseReader([_part(part, cancel) for part in parts])


def _part(sent: SentPart, cancel: Cancel) -> CasePart:
    def path() -> Path:
        if sent.path is None:
            raise UserFacingError("A clip of the case is not where it was.")
        return sent.path

    def index() -> ClipIndex:
        there = path()
        return ClipIndex.from_bytes(sent.index) if sent.index else build_index(there, cancel=cancel)

    return CasePart(path, index, sent.n_frames, sent.duration_us, sent.lead_us)


def _missing(ordinal: int, n_parts: int) -> str:
    which = f"part {ordinal + 1} of {n_parts} of " if n_parts > 1 else ""
    return f"{which}the recording is not where it was, or is damaged."
