"""Exact frames of a case: its clips end to end on one clock and under one numbering."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from pathlib import Path
from types import TracebackType

from annotate.clip.frame import Frame
from annotate.clip.index import ClipIndex
from annotate.clip.reader import CACHE_BYTES, ClipReader
from annotate.clip.stopping import Cancel
from annotate.clock import CaseClock, CaseTime


@dataclass(frozen=True, slots=True)
class CaseFrame:
    """A frame and its place in the case.

    Attributes
    ----------
    number : int
        Counted through all clips, from 0.
    time_us : CaseTime
        When it is first shown on the case clock.
    ordinal : int
        Which clip it is from, from 0.
    frame : Frame
        The frame itself, with its number and time within the clip.
    """

    number: int
    time_us: CaseTime
    ordinal: int
    frame: Frame


class CaseReader:
    """Frames of a case by case time or by case-wide number; clips are opened when first needed.

    Parameters
    ----------
    clips : sequence of (path, ClipIndex)
        In the order of the case.
    cache_bytes : int
        Bound on the decoded pictures kept, for each clip.

    Raises
    ------
    ValueError
        If there is no clip.
    """

    def __init__(
        self, clips: Sequence[tuple[Path | str, ClipIndex]], cache_bytes: int = CACHE_BYTES
    ) -> None:
        if not clips:
            raise ValueError("a case to read has at least one clip")
        self._clips = [(Path(path), index) for path, index in clips]
        self._firsts = [0, *accumulate(index.n_frames for _, index in self._clips)]
        self._readers: dict[int, ClipReader] = {}
        self._cache_bytes = cache_bytes
        self.clock = CaseClock([index.duration_us for _, index in self._clips])

    def __enter__(self) -> CaseReader:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close every clip that was opened."""
        while self._readers:
            self._readers.popitem()[1].close()

    @property
    def n_frames(self) -> int:
        """Frames of all clips together."""
        return self._firsts[-1]

    def locate(self, number: int) -> tuple[int, int]:
        """Clip ordinal, and number within that clip, of a case-wide frame number.

        Raises
        ------
        IndexError
            If there is no such frame.
        """
        if not 0 <= number < self.n_frames:
            raise IndexError(f"no frame {number} of {self.n_frames}")
        ordinal = bisect_right(self._firsts, number) - 1
        return ordinal, number - self._firsts[ordinal]

    def number_at(self, case_us: int) -> int:
        """Case-wide number of the frame shown at a case time; past the end, the last one.

        Raises
        ------
        ValueError
            If the time is negative.
        """
        ordinal, clip_us = self.clock.to_clip(case_us)
        return self._firsts[ordinal] + self._clips[ordinal][1].number_at(clip_us)

    def time_of(self, number: int) -> CaseTime:
        """Case time at which a frame is first shown.

        Raises
        ------
        IndexError
            If there is no such frame.
        """
        ordinal, in_clip = self.locate(number)
        return self.clock.to_case(ordinal, self._clips[ordinal][1].time_of(in_clip))

    def frame(self, number: int, cancel: Cancel = None) -> CaseFrame:
        """Give exactly the frame with a case-wide number.

        Raises
        ------
        IndexError
            If there is no such frame.
        UserFacingError
            If its clip cannot be opened.
        ReadingStopped
            If `cancel` asks for it.
        """
        ordinal, in_clip = self.locate(number)
        frame = self._reader(ordinal).frame(in_clip, cancel)
        return CaseFrame(number, self.clock.to_case(ordinal, frame.time_us), ordinal, frame)

    def frame_at(self, case_us: int, cancel: Cancel = None) -> CaseFrame:
        """Give the frame shown at a case time; past the end, the last one.

        Raises
        ------
        ValueError
            If the time is negative.
        UserFacingError
            If its clip cannot be opened.
        ReadingStopped
            If `cancel` asks for it.
        """
        return self.frame(self.number_at(case_us), cancel)

    def _reader(self, ordinal: int) -> ClipReader:
        if ordinal not in self._readers:
            path, index = self._clips[ordinal]
            self._readers[ordinal] = ClipReader(path, index, self._cache_bytes)
        return self._readers[ordinal]
