"""The index of a clip: which picture is shown when, and where in the file it lies."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from annotate.clip.damage import DamageSpan
from annotate.clip.packets import PacketTable
from annotate.clip.shape import PictureShape
from annotate.clip.stopping import Cancel, Progress
from annotate.clip.ticks import floor_us
from annotate.clock import US_PER_S

ALGORITHM_VERSION = 3
"""Goes up when the same file would give another index."""


@dataclass(frozen=True, eq=False)
class ClipIndex:
    """Which picture of a clip is shown when.

    Frame n is shown from its own time until that of frame n + 1. Times count from the first shown
    frame; hidden packets of an edit list are decoded and are no frames.

    Attributes
    ----------
    packets : PacketTable
        All packets of the video, in the order of the file.
    ordinals : ndarray of int64, shape (n_frames,)
        Packet of each frame.
    ticks : ndarray of int64, shape (n_frames,)
        Time of each frame in ticks of `time_base` from the first one; never falling.
    end_tick : int
        When the last frame ends.
    time_base : Fraction
        Seconds a tick.
    shape : PictureShape
        Size, turn and pixel aspect.
    codec, container : str
        Names of the encoding and of the kind of file.
    is_order_decoded : bool
        True if the file's times could not be trusted and a decoding pass gave the order.
    damage : str
        A sentence on where a damaged clip breaks off; empty for a whole one.
    damaged : tuple of DamageSpan
        Where packets are missing or not whole, the clock jumps, or pictures are missing, in order.
    is_partial : bool
        True while the rest of the clip is still being read.
    """

    packets: PacketTable
    ordinals: NDArray[np.int64]
    ticks: NDArray[np.int64]
    end_tick: int
    time_base: Fraction
    shape: PictureShape
    codec: str
    container: str
    is_order_decoded: bool = False
    damage: str = ""
    damaged: tuple[DamageSpan, ...] = ()
    is_partial: bool = False

    @property
    def n_frames(self) -> int:
        """How many frames are shown."""
        return len(self.ordinals)

    @cached_property
    def pts(self) -> NDArray[np.int64]:
        """Presentation time of each frame as the file gives it, ticks; see `packets.UNKNOWN`."""
        return self.packets.pts[self.ordinals]

    @cached_property
    def times_us(self) -> NDArray[np.int64]:
        """Time of each frame, microseconds from the first, rounded down."""
        return floor_us(self.ticks, self.time_base)

    @property
    def duration_us(self) -> int:
        """From the first frame's beginning to the last one's end, at least 1 microsecond."""
        return max(1, int(self.end_tick * self.time_base * US_PER_S))

    @property
    def fps_mean(self) -> Fraction:
        """Frames a second over the whole clip."""
        return self.n_frames / (max(1, self.end_tick) * self.time_base)

    @cached_property
    def is_variable_rate(self) -> bool:
        """Whether frames last differently, by more than the rounding of their times."""
        steps = np.diff(self.ticks)
        if len(steps) < 2:
            return False
        spread_s = int(steps.max() - steps.min()) * self.time_base
        return spread_s > max(self.time_base, Fraction(1, 1000))

    @property
    def width(self) -> int:
        """Width as shown, pixels."""
        return self.shape.shown_size[0]

    @property
    def height(self) -> int:
        """Height as shown, pixels."""
        return self.shape.shown_size[1]

    @property
    def rotation_deg(self) -> int:
        """Clockwise turn from the coded picture to the shown one: 0, 90, 180 or 270."""
        return self.shape.rotation_deg

    @property
    def is_complete(self) -> bool:
        """Whether the file holds all that it promises."""
        return not self.damage

    @property
    def remarks(self) -> tuple[str, ...]:
        """Sentences on all that is wrong with the clip, in order; none for a whole one."""
        spans = tuple(span.words for span in self.damaged)
        return (*spans, self.damage) if self.damage else spans

    def continues(self, part: ClipIndex) -> bool:
        """Whether all frames of a partial index are in this one, with their numbers and times."""
        n = part.n_frames
        return (
            n <= self.n_frames
            and np.array_equal(self.ordinals[:n], part.ordinals)
            and np.array_equal(self.ticks[:n], part.ticks)
        )

    @cached_property
    def number_of_packet(self) -> NDArray[np.int64]:
        """Frame number of each packet; -1 for those that are not shown."""
        numbers = np.full(len(self.packets), -1, dtype=np.int64)
        numbers[self.ordinals] = np.arange(self.n_frames)
        return numbers

    @cached_property
    def key_ordinals(self) -> NDArray[np.int64]:
        """Packets at which decoding may begin; the first packet where none is marked."""
        keys = np.flatnonzero(self.packets.is_key)
        return keys if len(keys) else np.zeros(1, dtype=np.int64)

    def number_at(self, time_us: int) -> int:
        """Number of the frame shown at a time; the first one before it, the last one after it."""
        at = int(np.searchsorted(self.times_us, time_us, side="right")) - 1
        return min(max(at, 0), self.n_frames - 1)

    def time_of(self, number: int) -> int:
        """Time at which a frame is first shown, microseconds.

        Raises
        ------
        IndexError
            If there is no such frame.
        """
        if not 0 <= number < self.n_frames:
            raise IndexError(f"no frame {number} of {self.n_frames}")
        return int(self.times_us[number])

    def to_bytes(self) -> bytes:
        """Pack for keeping; `from_bytes` reads it."""
        from annotate.clip.index_bytes import pack  # the two need each other

        return pack(self)

    @classmethod
    def from_bytes(cls, content: bytes) -> ClipIndex:
        """Read what `to_bytes` packed.

        Raises
        ------
        ValueError
            If it is anything else, damaged, or of another version.
        """
        from annotate.clip.index_bytes import unpack  # the two need each other

        return unpack(content)


def build_index(
    path: Path | str,
    progress: Progress = None,
    cancel: Cancel = None,
    partly: Callable[[ClipIndex], None] | None = None,
) -> ClipIndex:
    """Index a clip by demuxing its packets, or from its header where that can be proved right.

    Pictures are decoded only to learn the shape of the first one, and where the times in the file
    cannot be trusted.

    Parameters
    ----------
    partly : callable, optional
        Given, from about 0.3 s on and at growing intervals, an index of the frames found so far.
        Their numbers and times stay as they are in the next one and in the last; see `continues`.

    Raises
    ------
    UserFacingError
        If the file cannot be opened or holds no picture.
    ReadingStopped
        If `cancel` asks for it.
    """
    from annotate.clip.building import build  # the two need each other

    return build(Path(path), progress, cancel, partly)
