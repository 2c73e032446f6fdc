"""Choosing and decoding a clip's small pictures: key pictures first, spread over the whole clip."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.clip.frame import Frame
from annotate.clip.index import ClipIndex
from annotate.clip.keys import KeyPictures
from annotate.clip.reader import ClipReader
from annotate.clip.stopping import Cancel, Progress, stop_if
from annotate.clip.thumbnails import Thumbnails
from annotate.clock import US_PER_S
from annotate.errors import UserFacingError

LONGEST_SIDE_PX = 240
"""What is shown under the pointer; along the timeline it is shrunk further."""

MOST = 600
_QUALITY = 76
_CLOSEST_US = US_PER_S
"""Pictures closer together than this tell nothing more along a timeline."""

_WIDEST_US = 10 * US_PER_S
"""Key pictures farther apart than this leave a hole, in which others are decoded."""

_FEWEST = 30
"""A short clip gets about this many, however few keys it has."""

_FIRST_PARTS = (8, 16, 26)
"""Pictures in the parts that are given first: fifty in all, so that soon something is seen."""

_PART = 50
_FILLER_CACHE_BYTES = 64 << 20


@dataclass(frozen=True, slots=True)
class ThumbnailPlan:
    """Which frames to make pictures of, in the order in which to make them.

    Attributes
    ----------
    keys : tuple of int
        Key pictures, decoded alone; any stretch of the beginning is spread over the clip.
    others : tuple of int
        Frames in the holes between them, rising, as they cost decoding from key to key.
    """

    keys: tuple[int, ...]
    others: tuple[int, ...]


def thumbnail_plan(index: ClipIndex, most: int = MOST) -> ThumbnailPlan:
    """Choose frames, evenly spaced as far as key pictures allow it."""
    length_us = index.duration_us
    spacing_us = max(length_us // most, min(_CLOSEST_US, length_us // _FEWEST), 1)
    grid = np.arange(max(length_us // spacing_us, 1)) * spacing_us + spacing_us // 2
    shown = index.number_of_packet[index.key_ordinals]
    keys = np.sort(shown[shown >= 0])
    chosen = np.unique(_nearest(keys, index.times_us, grid)) if len(keys) else keys
    hole_us = max(spacing_us, min(_WIDEST_US, length_us // _FEWEST))
    others = _in_holes(index, chosen, hole_us)[: max(most - len(chosen), 0)]
    return ThumbnailPlan(tuple(chosen[spread(len(chosen))].tolist()), tuple(others))


def make_thumbnails(
    path: Path,
    index: ClipIndex,
    there: Collection[int] = (),
    progress: Progress = None,
    cancel: Cancel = None,
) -> Iterator[Thumbnails]:
    """Make a clip's small pictures, part by part; the last part says that it is complete.

    Parameters
    ----------
    there : collection of int
        Frame numbers of those made before, which are not made again.

    Raises
    ------
    UserFacingError
        If the clip cannot be opened.
    ReadingStopped
        If `cancel` asks for it.
    """
    plan, made = thumbnail_plan(index), set(there)
    wanted = [n for n in (*plan.keys, *plan.others) if n not in made]
    sizes = iter(() if made else _FIRST_PARTS)
    rows: list[tuple[int, int, bytes]] = []
    room = next(sizes, _PART)
    frames = _frames(path, index, wanted, len(set(plan.keys) - made), cancel)
    for n_done, frame in enumerate(frames, 1):
        if frame is not None:
            rows.append((frame.number, frame.time_us, jpeg_of(frame)))
        if progress is not None:
            progress(n_done / len(wanted))
        if len(rows) >= room:
            yield Thumbnails.of(rows)
            rows, room = [], next(sizes, _PART)
    yield Thumbnails.of(rows, is_complete=True)


def jpeg_of(frame: Frame, longest_side_px: int = LONGEST_SIDE_PX, quality: int = _QUALITY) -> bytes:
    """A frame as shown, shrunk, as JPEG."""
    width, height = frame.shown_size
    scale = min(longest_side_px / max(width, height), 1.0)
    pixels = frame.fitted(max(round(width * scale), 1), max(round(height * scale), 1))
    colours = np.ascontiguousarray(pixels[:, :, :3])
    _, encoded = cv2.imencode(".jpg", colours, [cv2.IMWRITE_JPEG_QUALITY, quality])
    return encoded.tobytes()


def spread(n: int) -> NDArray[np.int64]:
    """The numbers 0 to n - 1 in an order of which any beginning is spread evenly over them."""
    n_bits = max(n - 1, 1).bit_length()
    turned = [int(f"{i:0{n_bits}b}"[::-1], 2) for i in range(1 << n_bits)]
    return np.array([i for i in turned if i < n], np.int64)


def _frames(
    path: Path, index: ClipIndex, wanted: Sequence[int], n_keys: int, cancel: Cancel
) -> Iterator[Frame | None]:
    """Decode frames: the first `n_keys` are key pictures. None where nothing comes out."""
    pictures = KeyPictures(path, index)
    left: list[int] = []
    try:
        for number in wanted[:n_keys]:
            stop_if(cancel)
            picture = pictures.picture(number, cancel)
            if picture is None:
                left.append(number)  # a key packet that is not whole by itself
            else:
                yield Frame(number, index.time_of(number), index.shape, picture)
    finally:
        pictures.close()
    exact = sorted([*left, *wanted[n_keys:]])
    if not exact:
        return
    with ClipReader(path, index, _FILLER_CACHE_BYTES) as reader:
        for number in exact:
            try:
                frame = reader.frame(number, cancel)
            except UserFacingError:
                yield None
                continue
            yield None if frame.is_stand_in else frame


def _nearest(
    keys: NDArray[np.int64], times_us: NDArray[np.int64], grid: NDArray[np.int64]
) -> NDArray[np.int64]:
    """For each moment of a grid, the key picture nearest to it."""
    moments = times_us[keys]
    after = np.clip(np.searchsorted(moments, grid), 0, len(keys) - 1)
    before = np.maximum(after - 1, 0)
    is_before = np.abs(moments[before] - grid) <= np.abs(moments[after] - grid)
    return keys[np.where(is_before, before, after)]


def _in_holes(index: ClipIndex, chosen: NDArray[np.int64], hole_us: int) -> list[int]:
    """Frames evenly spread where chosen ones lie more than half as far again as that apart."""
    edges = [0, *index.times_us[chosen].tolist(), index.duration_us]
    if not len(chosen):
        edges = [-hole_us, index.duration_us]
    found: list[int] = []
    for start, end in pairwise(edges):
        n_more = round((end - start) / hole_us) - 1
        found += [
            index.number_at(start + (end - start) * k // (n_more + 1)) for k in range(1, n_more + 1)
        ]
    return sorted(set(found) - set(chosen.tolist()))
