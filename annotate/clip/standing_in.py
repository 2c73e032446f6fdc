"""What is shown where a clip is damaged: the nearest picture that can be decoded."""

from __future__ import annotations

from pathlib import Path

import av

from annotate.clip.index import ClipIndex
from annotate.clip.seeking import PictureSeeker
from annotate.clip.stopping import Cancel
from annotate.clock import shown
from annotate.errors import UserFacingError


class StandIns:
    """Pictures for the frames of one clip that cannot be decoded; remembers which those are."""

    def __init__(self, path: Path, index: ClipIndex, seeker: PictureSeeker) -> None:
        self._path, self._index, self._seeker = path, index, seeker
        self._missing: set[int] = set()
        self._of_gap: tuple[range, av.VideoFrame] | None = None
        self._is_wrecked = False

    def is_missing(self, number: int) -> bool:
        """Whether a frame is known not to come out."""
        return number in self._missing

    def note_gap(self) -> None:
        """Remember the numbers that did not come out when the seeker last failed."""
        self._missing.update(self._seeker.gap)
        if self._seeker.neighbour is not None:
            self._of_gap = self._seeker.gap, self._seeker.neighbour[1]

    def find(self, number: int, cancel: Cancel) -> av.VideoFrame:
        """Find the nearest picture that can be decoded, earlier ones first.

        Raises
        ------
        UserFacingError
            If a search from key to key, twice as far each time, finds none.
        ReadingStopped
            If `cancel` asks for it.
        """
        if self._of_gap is not None and number in self._of_gap[0]:
            return self._of_gap[1]
        if not self._is_wrecked:
            for key_ordinal in self._keys_around(number):
                found = self._seeker.first_from(key_ordinal, cancel)
                if found is not None:
                    self._of_gap = self._gap_around(number), found[1]
                    return found[1]
            self._is_wrecked = True
        raise UserFacingError(
            f"{shown(self._path.name, 80)} is damaged: nothing can be shown here.",
            "Copy it from the recorder again, or go to another place in it.",
        )

    def _keys_around(self, number: int) -> list[int]:
        """Key packets before a frame, then after it, each twice as far as the one before."""
        keys, at = self._index.key_ordinals, self._seeker.key_before(number)
        steps = [0, *(1 << n for n in range(len(keys).bit_length()))]
        places = [at - step for step in steps if at >= step]
        places += [at + step for step in steps[1:] if at + step < len(keys)]
        return [int(keys[place]) for place in dict.fromkeys([*places, 0, len(keys) - 1])]

    def _gap_around(self, number: int) -> range:
        first = last = number
        while first - 1 in self._missing:
            first -= 1
        while last + 1 in self._missing:
            last += 1
        return range(first, last + 1)
