"""What a decoder needs to know of a case, turned into what a reader reads."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from fractions import Fraction
from pathlib import Path

import numpy as np

from annotate.clip import ClipIndex, build_index
from annotate.clip.case_parts import CasePart
from annotate.clip.packets import PacketTable
from annotate.clip.shape import PictureShape
from annotate.clock import US_PER_S
from annotate.errors import UserFacingError
from app.playing.inbox import Inbox
from app.playing.messages import FromDecoder, IndexMade, Open, PartToOpen, Scanning

Scan = Callable[[int, PartToOpen], ClipIndex]


def case_parts(told: Open, scan: Scan) -> list[CasePart]:
    """The parts of a case, their indexes read or made when first needed."""
    return [_part(ordinal, part, scan) for ordinal, part in enumerate(told.parts)]


def scanner(inbox: Inbox, send: Callable[[FromDecoder], None]) -> Scan:
    """Makes an index that the desk did not have, saying how far it is, and hands it over."""

    def scan(ordinal: int, part: PartToOpen) -> ClipIndex:
        def tell(share: float) -> None:
            inbox.ticks += 1
            send(Scanning(ordinal, share))

        index = build_index(Path(part.path), tell, lambda: inbox.is_closing)
        send(IndexMade(ordinal, index.to_bytes()))
        return index

    return scan


def desk_part(part: PartToOpen) -> CasePart:
    """A part as the desk knows it: its numbers and times, not its pictures."""
    index: ClipIndex | None = None
    if part.index is not None:
        with suppress(ValueError):  # damaged derived data; the decoder makes it again
            index = ClipIndex.from_bytes(part.index)
    return CasePart(
        Path(part.path), index or even_index(part), part.n_frames, part.duration_us, part.lead_us
    )


def even_index(part: PartToOpen) -> ClipIndex:
    """An index that takes a part's frames to last equally long, until the real one is there."""
    n_frames = max(part.n_frames, 1)
    ticks = np.arange(n_frames, dtype=np.int64) * part.duration_us // n_frames
    none = np.empty(0, dtype=np.int64)
    table = PacketTable(none, none, none, none, none, np.empty(0, dtype=np.uint8))
    return ClipIndex(
        table,
        np.arange(n_frames, dtype=np.int64),
        ticks,
        part.duration_us,
        Fraction(1, US_PER_S),
        PictureShape(16, 9),
        "",
        "",
    )


class _PartIndex:
    """A part's index, read or made once, whoever asks first."""

    def __init__(self, ordinal: int, part: PartToOpen, scan: Scan) -> None:
        self._ordinal, self._part, self._scan = ordinal, part, scan
        self._lock = threading.Lock()
        self._index: ClipIndex | None = None

    def __call__(self) -> ClipIndex:
        """Give it.

        Raises
        ------
        UserFacingError
            If the part is lost or holds no picture.
        """
        if self._part.missing:
            raise UserFacingError(self._part.missing)
        with self._lock:
            if self._index is None and self._part.index is not None:
                with suppress(ValueError):  # derived data may be damaged; it is made again
                    self._index = ClipIndex.from_bytes(self._part.index)
            if self._index is None:
                self._index = self._scan(self._ordinal, self._part)
            return self._index


def _part(ordinal: int, part: PartToOpen, scan: Scan) -> CasePart:
    index = _PartIndex(ordinal, part, scan)
    return CasePart(Path(part.path), index, part.n_frames, part.duration_us, part.lead_us)
