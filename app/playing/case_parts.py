"""A part of a case as the desk knows it: its numbers and times, not its pictures."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction
from pathlib import Path

import numpy as np

from annotate.clip import ClipIndex
from annotate.clip.case_parts import CasePart
from annotate.clip.packets import PacketTable
from annotate.clip.shape import PictureShape
from annotate.clock import US_PER_S
from app.playing.messages import PartToOpen


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
