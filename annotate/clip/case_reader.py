"""Exact frames of a case: its parts on one clock and under one numbering."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from annotate.clip.cache_bounds import CACHE_BYTES
from annotate.clip.case_numbers import CaseNumbers
from annotate.clip.case_parts import CasePart
from annotate.clip.deinterlace import by_itself
from annotate.clip.frame import Frame
from annotate.clip.index import ClipIndex
from annotate.clip.reader import ClipReader
from annotate.clip.stopping import Cancel
from annotate.clock import CaseTime
from annotate.closing import Closing
from annotate.errors import UserFacingError


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


class CaseReader(CaseNumbers, Closing):
    """Frames of a case by case time or by case-wide number; parts are opened when first needed.

    A frame that a part repeats from the part before (an overlap) has no number. A part that cannot
    be opened costs only its own frames. One reader lives in one thread, but for `fill`.

    Parameters
    ----------
    parts : sequence of CasePart, or of (path, ClipIndex) for parts that lie end to end
        In the order of the case.
    cache_bytes : int
        Bound on all decoded pictures of each part that is open: two at most.

    Raises
    ------
    ValueError
        If there is no part, or parts overlap by more than they last.
    """

    def __init__(
        self,
        parts: Sequence[CasePart | tuple[Path | str, ClipIndex]],
        cache_bytes: int = CACHE_BYTES,
    ) -> None:
        super().__init__(parts, cache_bytes)

    def close(self) -> None:
        """Close every part that is open."""
        self._parts.close()

    @property
    def open_parts(self) -> tuple[int, ...]:
        """Ordinals of the parts that hold a file open, longest unused first."""
        return self._parts.ordinals

    # Frames

    def frame(self, number: int, cancel: Cancel = None) -> CaseFrame:
        """Give exactly the frame with a case-wide number, as it is coded.

        Raises
        ------
        IndexError
            If there is no such frame.
        UserFacingError
            If its part cannot be opened.
        ReadingStopped
            If `cancel` asks for it.
        """
        ordinal, in_clip = self.locate(number)
        with self._parts.reader(ordinal) as reader:
            return self._placed(ordinal, reader.frame(_held(in_clip, reader), cancel), number)

    def frame_at(self, case_us: int, cancel: Cancel = None) -> CaseFrame:
        """Give the frame shown at a case time; in a gap or past the end, the last one.

        Raises
        ------
        ValueError
            If the time is negative.
        UserFacingError
            If its part cannot be opened.
        ReadingStopped
            If `cancel` asks for it.
        """
        return self.frame(self.number_at(case_us), cancel)

    def _placed(self, ordinal: int, frame: Frame, number: int | None = None) -> CaseFrame:
        """A clip's frame with its place in the case; `number` where it is known."""
        if number is None:
            number = self._number(ordinal, frame.number)
        return CaseFrame(number, self._time(ordinal, frame.time_us), ordinal, frame)

    # For showing: each as the clip's reader has it, in case-wide numbers

    def shown(self, number: int, cancel: Cancel = None, field: int | None = None) -> CaseFrame:
        """Give a frame as it is shown: made whole where it is interlaced.

        Parameters
        ----------
        field : int, optional
            0 or 1 for one of an interlaced frame's two moments.

        Raises
        ------
        IndexError, UserFacingError, ReadingStopped
            As `frame`.
        """
        ordinal, in_clip = self.locate(number)
        with self._parts.reader(ordinal) as reader:
            return self._placed(
                ordinal, reader.shown(_held(in_clip, reader), cancel, field), number
            )

    def is_interlaced(self, number: int) -> bool:
        """Whether the pictures of the part that holds a frame have two moments each.

        Raises
        ------
        IndexError, UserFacingError
            As `frame`.
        """
        ordinal, _ = self.locate(number)
        with self._parts.reader(ordinal) as reader:
            return reader.is_interlaced

    def is_at_hand(self, number: int) -> bool:
        """Whether a frame is decoded already; opens nothing."""
        ordinal, in_clip = self.locate(number)
        if ordinal not in self._parts.ordinals:
            return False
        with self._parts.reader(ordinal) as reader:
            return reader.is_at_hand(in_clip)

    def key_frame(self, number: int, cancel: Cancel = None) -> CaseFrame:
        """Give the nearest key picture at or before a frame within its part, which is quick.

        To be shown, as `referenced`: an interlaced one is made whole from its first field alone.

        Raises
        ------
        IndexError, UserFacingError, ReadingStopped
            As `frame`.
        """
        ordinal, in_clip = self.locate(number)
        with self._parts.reader(ordinal) as reader:
            found = reader.key_frame(_held(in_clip, reader), cancel)
            return self._placed(ordinal, by_itself(found, reader.index.codec))

    def referenced(self, number: int, cancel: Cancel = None) -> CaseFrame:
        """Give the first frame at or after one that others of its part are built on.

        Raises
        ------
        IndexError, UserFacingError, ReadingStopped
            As `frame`.
        """
        ordinal, in_clip = self.locate(number)
        with self._parts.reader(ordinal) as reader:
            found = reader.referenced(_held(in_clip, reader), cancel)
            return self._placed(ordinal, by_itself(found, reader.index.codec))

    def fill(self, first: int, last: int, cancel: Cancel = None) -> None:
        """Decode frames ahead of the head, over joins too; called from another thread.

        A part that cannot be opened is passed over: it says so when it is shown.

        Raises
        ------
        ReadingStopped
            If `cancel` asks for it.
        """
        first, last = max(first, 0), min(last, self.n_frames - 1)
        while first <= last:
            ordinal, in_clip = self.locate(first)
            here = min(last, self._firsts[ordinal + 1] - 1)
            with suppress(UserFacingError), self._parts.reader(ordinal) as reader:
                reader.fill(in_clip, in_clip + here - first, cancel)
            first = here + 1

    def n_cached_at_most(self, number: int) -> int:
        """How many pictures of a frame's part are kept at most, by the size of its pictures.

        Raises
        ------
        IndexError, UserFacingError
            As `frame`.
        """
        ordinal, _ = self.locate(number)
        with self._parts.reader(ordinal) as reader:
            return reader.n_kept_at_most

    def most_bytes(self, number: int) -> int:
        """What the pictures of a frame's part take at most: the bound, or what decoding needs.

        Raises
        ------
        IndexError, UserFacingError
            As `frame`.
        """
        ordinal, _ = self.locate(number)
        with self._parts.reader(ordinal) as reader:
            return reader.most_bytes

    def set_aside(self, use: str, n_bytes: int) -> None:
        """Leave room within each part's bound for something else that shows its pictures.

        Any thread may call. It replaces what was left for the same use before.
        """
        self._parts.set_aside(use, n_bytes)

    def focus(self, number: int, direction: int) -> None:
        """Say where the head is and which way it goes; opens nothing."""
        ordinal, in_clip = self.locate(number)
        if ordinal in self._parts.ordinals:
            with self._parts.reader(ordinal) as reader:
                reader.focus(in_clip, direction)


def _held(in_clip: int, reader: ClipReader) -> int:
    """The number, held within the index: a newer way of indexing may count fewer frames."""
    return min(in_clip, reader.index.n_frames - 1)
