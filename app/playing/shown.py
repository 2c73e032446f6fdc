"""What the feed hands to the screen, and what it needs to open a case."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from annotate.clip.showing import AS_FILMED, Framing
from app.playing.messages import PartToOpen

CACHE_BYTES = 512 << 20
"""Bound on the decoded pictures kept of each part, unless the settings say otherwise."""


@dataclass(frozen=True, slots=True)
class CaseToPlay:
    """A case for the feed.

    Attributes
    ----------
    parts : tuple of PartToOpen
    keep_index : callable
        Takes the ordinal of a part and the index made for it, to be kept for the next time.
    """

    parts: tuple[PartToOpen, ...]
    keep_index: Callable[[int, bytes], object]
    cache_bytes: int = CACHE_BYTES


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """A picture to paint.

    Attributes
    ----------
    pixels : ndarray of uint8, shape (height, width, 4)
        BGRA, in memory that is filled again once the next picture is taken.
    number : int
        Case-wide frame number.
    time_us, until_us : int
        Case time from which and until which it is the one to show.
    framing : Framing
        Which part of the picture this is, and which way round.
    picture_size : tuple of int
        Width and height of the whole upright picture.
    asked : int
        The frame that was asked for; another one than `number` while `is_near`.
    is_near : bool
        True if it stands in, for a moment, for the frame that was asked for.
    is_stand_in : bool
        True if the frame's own packet is damaged and a neighbour is shown.
    field : int or None
        Which of an interlaced frame's two moments.
    due_s : float
        When it was due, seconds of `time.perf_counter`; 0 for at once.
    """

    pixels: NDArray[np.uint8]
    number: int
    time_us: int
    until_us: int
    framing: Framing = AS_FILMED
    picture_size: tuple[int, int] = (0, 0)
    asked: int = -1
    is_near: bool = False
    is_stand_in: bool = False
    field: int | None = None
    due_s: float = 0.0


@dataclass(frozen=True, slots=True)
class CaseFacts:
    """What is known once a case is open."""

    n_frames: int
    length_us: int
    picture_size: tuple[int, int]
    is_interlaced: bool


@dataclass(frozen=True, slots=True, eq=False)
class Still:
    """A whole frame as filmed, or a sentence why there is none.

    Attributes
    ----------
    rgb : ndarray of uint8, shape (height, width, 3), or None
    """

    number: int
    time_us: int
    rgb: NDArray[np.uint8] | None
    words: str = ""
