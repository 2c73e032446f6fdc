"""Numbers and times of a case's frames: its parts on one clock and under one numbering."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate
from pathlib import Path

from annotate.clip.case_parts import CasePart, OpenParts
from annotate.clip.index import ClipIndex
from annotate.clock import CaseClock, CaseTime


class CaseNumbers:
    """Which frame of which part is shown when.

    Parameters
    ----------
    parts : sequence of CasePart, or of (path, ClipIndex) for parts that lie end to end
    cache_bytes : int
        For the readers that are opened.

    Raises
    ------
    ValueError
        If there is no part, or parts overlap by more than they last.
    """

    def __init__(
        self,
        parts: Sequence[CasePart | tuple[Path | str, ClipIndex]],
        cache_bytes: int,
    ) -> None:
        if not parts:
            raise ValueError("a case to read has at least one clip")
        all_parts = [p if isinstance(p, CasePart) else CasePart.whole(*p) for p in parts]
        self.clock = CaseClock([p.duration_us for p in all_parts], [p.lead_us for p in all_parts])
        self._parts = OpenParts(all_parts, cache_bytes)
        self._hidden = [
            self._parts.number_at(i, self.clock.left_out_us(i)) if part.lead_us < 0 else 0
            for i, part in enumerate(all_parts)
        ]
        shown = [max(p.n_frames - h, 1) for p, h in zip(all_parts, self._hidden, strict=True)]
        self._firsts = [0, *accumulate(shown)]

    @property
    def n_frames(self) -> int:
        """Frames of all parts together, those that repeat others left out."""
        return self._firsts[-1]

    @property
    def n_parts(self) -> int:
        """How many parts there are."""
        return len(self._hidden)

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
        return ordinal, number - self._firsts[ordinal] + self._hidden[ordinal]

    def number_at(self, case_us: int) -> int:
        """Case-wide number of the frame shown at a case time; in a gap or past the end, the last.

        Raises
        ------
        ValueError
            If the time is negative.
        """
        ordinal, clip_us = self.clock.to_clip(case_us)
        return self._number(ordinal, self._parts.number_at(ordinal, clip_us))

    def time_of(self, number: int) -> CaseTime:
        """Case time at which a frame is first shown.

        Raises
        ------
        IndexError
            If there is no such frame.
        """
        ordinal, in_clip = self.locate(number)
        return self._time(ordinal, self._parts.time_of(ordinal, in_clip))

    def until_of(self, number: int) -> CaseTime:
        """Case time at which a frame ends: where the next begins, or a gap, or the case ends.

        Raises
        ------
        IndexError
            If there is no such frame.
        """
        ordinal, _ = self.locate(number)
        if number + 1 == self._firsts[ordinal + 1]:
            return self.clock.end_of(ordinal)
        return self.time_of(number + 1)

    def _number(self, ordinal: int, in_clip: int) -> int:
        """Case-wide number of a clip's frame, held within the frames that the clip shows."""
        first, following = self._firsts[ordinal], self._firsts[ordinal + 1]
        return min(max(first + in_clip - self._hidden[ordinal], first), following - 1)

    def _time(self, ordinal: int, clip_us: int) -> CaseTime:
        """Case time of a clip's moment; a frame that begins in an overlap is shown from its end."""
        return max(self.clock.to_case(ordinal, clip_us), self.clock.start_of(ordinal))

    def next_part_at(self, number: int, direction: int) -> int | None:
        """First frame of the part after a frame's, or last one of the part before; None if none.

        Raises
        ------
        IndexError
            If there is no such frame.
        """
        ordinal, _ = self.locate(number)
        if direction < 0:
            return self._firsts[ordinal] - 1 if ordinal else None
        return self._firsts[ordinal + 1] if ordinal + 1 < self.n_parts else None
