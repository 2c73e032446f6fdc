"""What the desk knows of a case without decoding: numbers and times; and who waits for stills."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

import numpy as np

from annotate.clip import CaseReader, ClipIndex
from annotate.clip.case_parts import CasePart
from app.playing.answers import StillTaken
from app.playing.case_parts import desk_part
from app.playing.shown import CaseFacts, CaseToPlay, Still


class DeskTimes:
    """Numbers and times of a case; of a part without an index, even ones until it is made.

    Raises
    ------
    UserFacingError
        If the parts cannot lie as they are said to.
    """

    def __init__(self, case: CaseToPlay) -> None:
        self._case = case
        self._parts = [desk_part(part) for part in case.parts]
        self._reader = CaseReader(self._parts)

    @property
    def n_parts(self) -> int:
        """How many parts there are."""
        return len(self._parts)

    def number_at(self, time_us: int) -> int:
        """Number of the frame shown at a case time."""
        return self._reader.number_at(max(time_us, 0))

    def time_of(self, number: int) -> int:
        """Case time of a frame; of the last one past the end."""
        return self._reader.time_of(min(max(number, 0), self._reader.n_frames - 1))

    def facts(self, *, is_interlaced: bool) -> CaseFacts:
        """What is known of the case."""
        sizes = (p.index.shape.shown_size for p in self._parts if isinstance(p.index, ClipIndex)
                 and p.index.codec)  # fmt: skip
        reader = self._reader
        size = next(sizes, (0, 0))
        return CaseFacts(reader.n_frames, reader.clock.duration_us, size, is_interlaced)

    def keep_index(self, part: int, content: bytes) -> None:
        """Go by the index that was made for a part, and keep it for the next time."""
        old, told = self._parts[part], self._case.parts[part]
        index = ClipIndex.from_bytes(content)
        self._parts[part] = CasePart(old.path, index, told.n_frames, told.duration_us, told.lead_us)
        self._reader = CaseReader(self._parts)
        self._case.keep_index(part, content)


class StillsAskedFor:
    """Who waits for which still. Asked on the main thread, answered on the feed's."""

    def __init__(self) -> None:
        self._waiting: dict[int, Callable[[Still], object]] = {}
        self._came: deque[tuple[int, Still]] = deque()
        self._n_asked = 0

    def ask(self, done: Callable[[Still], object]) -> int:
        """Note who waits; give the ticket."""
        self._n_asked += 1
        self._waiting[self._n_asked] = done
        return self._n_asked

    def answer(self, taken: StillTaken) -> None:
        """Note what came."""
        rgb = None
        if taken.rgb:
            width, height = taken.size
            rgb = np.frombuffer(taken.rgb, np.uint8).reshape(height, width, 3)
        still = Still(taken.number, taken.time_us, rgb, taken.words)
        self._came.append((taken.ticket, still))

    def hand_over(self) -> None:
        """Give what came to those who wait."""
        while self._came:
            ticket, still = self._came.popleft()
            done = self._waiting.pop(ticket, None)
            if done is not None:
                done(still)
