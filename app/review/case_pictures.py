"""The small pictures of a whole case, on its clock; no Qt."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from annotate.case import Case
from annotate.clip.thumbnails import Thumbnails


@dataclass(frozen=True, slots=True, eq=False)
class SmallPicture:
    """A small picture and its place in the case.

    Attributes
    ----------
    key : tuple of (str, int)
        Fingerprint of its clip and frame number within it.
    time_us : int
        Case time at which its frame is first shown, microseconds.
    content : bytes
        JPEG.
    """

    key: tuple[str, int]
    time_us: int
    content: bytes


@dataclass(frozen=True, slots=True, eq=False)
class SlotPicture:
    """What stands in a stretch of the case.

    Attributes
    ----------
    picture : SmallPicture
    is_here : bool
        Whether it lies in that stretch; else it is the nearest one, borrowed.
    """

    picture: SmallPicture
    is_here: bool


BORROWED_US = 30_000_000
"""A stretch without a picture borrows one that lies at most so far from its middle."""


class CasePictures:
    """Finds small pictures by case time.

    Parameters
    ----------
    case : Case
    of_clip : callable
        From a clip's fingerprint to those of its pictures that are there by now.
    """

    def __init__(self, case: Case, of_clip: Callable[[str], Thumbnails]) -> None:
        self._clips = case.clips
        self._clock = case.clock
        self._of_clip = of_clip

    @property
    def aspect(self) -> float:
        """Width over height of the first clip's pictures, as shown."""
        return self._clips[0].width / max(self._clips[0].height, 1) if self._clips else 16 / 9

    @property
    def n_made(self) -> int:
        """How many are there by now."""
        return sum(len(self._of_clip(clip.fingerprint)) for clip in self._clips)

    @property
    def is_complete(self) -> bool:
        """Whether none is still to be made."""
        return all(self._of_clip(clip.fingerprint).is_complete for clip in self._clips)

    def is_in_gap(self, time_us: int) -> bool:
        """Whether nothing was recorded at a case time."""
        return any(start <= time_us < end for start, end in self._clock.gaps)

    def nearest(self, time_us: int) -> SmallPicture | None:
        """The picture nearest to a case time within its part; None in a gap or of none."""
        if not self._clips or self.is_in_gap(time_us):
            return None
        ordinal, clip_us = self._clock.to_clip(max(time_us, 0))
        found = self._of_clip(self._clips[ordinal].fingerprint)
        at = found.place_near(clip_us)
        return None if at is None else self._placed(ordinal, found, at)

    def along(self, start_us: int, slot_us: int, n_slots: int) -> Iterator[SlotPicture | None]:
        """For stretches of equal length, the picture nearest to the middle of each.

        A stretch in which none lies borrows the nearest of its part; None where that is farther
        off than `BORROWED_US`, and in a gap.
        """
        for slot in range(n_slots):
            begin_us = start_us + slot * slot_us
            middle_us = begin_us + slot_us // 2
            found = self.nearest(middle_us)
            is_here = found is not None and begin_us <= found.time_us < begin_us + slot_us
            is_near = found is not None and abs(found.time_us - middle_us) <= BORROWED_US
            yield SlotPicture(found, is_here) if found and (is_here or is_near) else None

    def _placed(self, ordinal: int, found: Thumbnails, at: int) -> SmallPicture:
        clip_us = int(found.times_us[at])
        time_us = max(self._clock.to_case(ordinal, clip_us), self._clock.start_of(ordinal))
        key = (self._clips[ordinal].fingerprint, int(found.numbers[at]))
        return SmallPicture(key, time_us, found.pictures[at])
