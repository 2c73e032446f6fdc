"""Frames of a case for its stills, part by part: a part that is missing costs only its own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from annotate.case import Case, ClipRecord
from annotate.clip import ClipIndex, ClipReader, build_index
from annotate.clip.stopping import Cancel
from annotate.errors import UserFacingError
from app.handback.stills import FrameAt, FrameMissing, ShownFrame
from app.intake.clips import find_clip, kept_index
from store import Store


@dataclass(frozen=True, slots=True)
class _Part:
    """One clip of the case; `source` is None where it is missing or cannot be read."""

    n_frames: int
    source: tuple[Path, ClipIndex] | None


@contextmanager
def case_frames(store: Store, case: Case, cancel: Cancel = None) -> Iterator[FrameAt]:
    """Open a case's clips as they are needed and close them at the end.

    Yields
    ------
    callable
        From case time to the frame shown then. It raises FrameMissing where the part that holds
        it is not there or is damaged, in a sentence that names the part and no file.
    """
    parts = [_part(store, case, clip, cancel) for clip in case.clips]
    with ExitStack() as stack:
        yield _Frames(case, parts, stack, cancel)


def _part(store: Store, case: Case, clip: ClipRecord, cancel: Cancel) -> _Part:
    try:
        path = find_clip(store, case, clip)
        index = kept_index(store, clip.fingerprint) or build_index(path, cancel=cancel)
    except UserFacingError:
        return _Part(clip.n_frames, None)
    return _Part(clip.n_frames, (path, index))


class _Frames:
    def __init__(
        self, case: Case, parts: Sequence[_Part], stack: ExitStack, cancel: Cancel
    ) -> None:
        self._clock = case.clock
        self._parts = list(parts)
        self._readers: dict[int, ClipReader] = {}
        self._stack = stack
        self._cancel = cancel

    def __call__(self, time_us: int) -> ShownFrame:
        ordinal, clip_us = self._clock.to_clip(time_us)
        try:
            frame = self._reader(ordinal).frame_at(clip_us, self._cancel)
            rgb = frame.rgb()
        except UserFacingError as error:
            raise FrameMissing(self._missing(ordinal)) from error
        return ShownFrame(
            number=sum(part.n_frames for part in self._parts[:ordinal]) + frame.number,
            time_us=self._clock.to_case(ordinal, frame.time_us),
            rgb=rgb,
            is_stand_in=frame.is_stand_in,
        )

    def _reader(self, ordinal: int) -> ClipReader:
        source = self._parts[ordinal].source
        if source is None:
            raise UserFacingError(self._missing(ordinal))
        if ordinal not in self._readers:
            self._readers[ordinal] = self._stack.enter_context(ClipReader(*source))
        return self._readers[ordinal]

    def _missing(self, ordinal: int) -> str:
        n_parts = len(self._parts)
        which = f"part {ordinal + 1} of {n_parts} of " if n_parts > 1 else ""
        return f"{which}the recording is not where it was, or is damaged."
