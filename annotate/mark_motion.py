"""Marks that go with the tissue: where each of their points is at each frame of the span.

Texture in and around the mark is followed frame by frame (`annotate.mark_flow`), from where the
mark was drawn and anew from each place where a hand put it right. Between two such places it is
followed from both, and the two are blended: near either, that one counts.
"""

from __future__ import annotations

import hashlib
import io
import zipfile
import zlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.clip.showing import Framing
from annotate.clip.stopping import Cancel, Progress, stop_if
from annotate.mark_flow import Follower, Grey
from annotate.marks import Anchor, Mark, Point

if TYPE_CHECKING:
    from annotate.clip import CaseReader

MOTION_VERSION = 1
MOST_FOLLOWED_US = 120_000_000
"""A mark is followed for that long; then it stands still."""
_WIDTH_PX = 640
"""Width at which the picture is looked at; texture finer than that is mostly noise."""

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class MarkPath:
    """Where a following mark is.

    Attributes
    ----------
    times_us : ndarray of int64, shape (n,)
        Case time from which each frame is shown, rising.
    points : ndarray of float64, shape (n, k, 2)
        Places of the mark's k points, in shares of the upright picture.
    is_sure : ndarray of bool, shape (n,)
        False where the tissue was lost: the mark stands still there.
    """

    times_us: NDArray[np.int64]
    points: Points = field(repr=False)
    is_sure: NDArray[np.bool_]

    def __post_init__(self) -> None:
        n = len(self.times_us)
        if not n or self.points.ndim != 3 or self.points.shape[2] != 2:
            raise ValueError("a path has a place for each point at each of its times")
        if len(self.points) != n or len(self.is_sure) != n or (np.diff(self.times_us) <= 0).any():
            raise ValueError("a path's times rise, and each has its places")

    def place_of(self, time_us: int) -> int:
        """Which of the frames is shown at a case time; the first or last one outside."""
        place = int(np.searchsorted(self.times_us, time_us, side="right")) - 1
        return max(place, 0)

    def unsure_spans(self) -> tuple[tuple[int, int], ...]:
        """Case times from and to which the tissue was lost."""
        edges = np.flatnonzero(np.diff(np.r_[True, self.is_sure, True].astype(np.int8)))
        last_us = int(self.times_us[-1])
        ends = [*self.times_us.tolist(), last_us]
        return tuple(
            (int(ends[one]), int(ends[other]))
            for one, other in zip(edges[::2], edges[1::2], strict=True)
        )

    def to_bytes(self) -> bytes:
        """Pack it."""
        sink = io.BytesIO()
        np.savez_compressed(sink, times_us=self.times_us, points=self.points, is_sure=self.is_sure)
        return sink.getvalue()

    @staticmethod
    def from_bytes(content: bytes) -> MarkPath:
        """Unpack it.

        Raises
        ------
        ValueError
            If it is damaged.
        """
        try:
            with np.load(io.BytesIO(content), allow_pickle=False) as packed:
                return MarkPath(
                    packed["times_us"].astype(np.int64),
                    packed["points"].astype(np.float64),
                    packed["is_sure"].astype(np.bool_),
                )
        except (OSError, KeyError, EOFError, zipfile.BadZipFile, zlib.error) as error:
            raise ValueError("a packed path is damaged") from error


def content_of(mark: Mark) -> str:
    """A hash of all that its path depends on in a mark; words and look are none of it."""
    parts = (mark.kind.value, mark.start_us, mark.end_us, mark.points, mark.anchors)
    return hashlib.sha256(repr(parts).encode()).hexdigest()


def points_at(mark: Mark, path: MarkPath | None, time_us: int) -> tuple[Point, ...]:
    """Where a mark's points are at a case time.

    A following mark whose path is not there yet stands where a hand put it last.
    """
    if not mark.is_following:
        return mark.points
    if path is None or path.points.shape[1] != len(mark.points):
        return _placed(mark, time_us)[1]
    return tuple((float(x), float(y)) for x, y in path.points[path.place_of(time_us)])


def _placed(mark: Mark, time_us: int) -> Anchor:
    """The last time before another, or at it, at which a hand placed the points; and these."""
    last: Anchor = (mark.start_us, mark.points)
    for anchor in mark.anchors:
        if anchor[0] <= time_us:
            last = anchor
    return last


def track(
    reader: CaseReader, mark: Mark, cancel: Cancel = None, progress: Progress = None
) -> MarkPath:
    """Follow a mark through its span.

    Parameters
    ----------
    reader : CaseReader
        Lives in this thread.

    Raises
    ------
    UserFacingError
        If a part of the recording cannot be read.
    ReadingStopped
        If `cancel` asks for it.
    """
    looked = _Looked(reader, cancel)
    first = reader.number_at(mark.start_us)
    end_us = min(mark.end_us, mark.start_us + MOST_FOLLOWED_US)
    last = max(reader.number_at(max(end_us - 1, mark.start_us)), first)
    numbers = range(first, last + 1)
    times = np.array([reader.time_of(number) for number in numbers], np.int64)
    grey = looked.grey(first)
    size = np.array([grey.shape[1], grey.shape[0]], float)
    stands = _stands(mark, times)
    done = _Done(progress, len(numbers) * (2 if len(stands) > 1 else 1))
    n, k = len(numbers), len(mark.points)
    points = np.empty((n, k, 2))
    is_sure = np.zeros(n, bool)
    for (place, drawn), following in zip(stands, [*stands[1:], None], strict=True):
        end = n if following is None else following[0] + 1
        ahead = _run(looked, mark, numbers[place:end], np.array(drawn) * size, done)
        if following is None:
            points[place:end], is_sure[place:end] = ahead
            continue
        back = _run(looked, mark, numbers[place:end][::-1], np.array(following[1]) * size, done)
        points[place:end], is_sure[place:end] = _blended(ahead, (back[0][::-1], back[1][::-1]))
    return MarkPath(times, points / size, is_sure)


def _stands(mark: Mark, times: NDArray[np.int64]) -> list[tuple[int, tuple[Point, ...]]]:
    """Frames, by place, at which a hand put the mark; the last one counts on each."""
    by_place = {0: mark.points}
    for time_us, points in mark.anchors:
        if mark.start_us <= time_us < mark.end_us and time_us >= times[0]:
            by_place[int(np.searchsorted(times, time_us, side="right")) - 1] = points
    return sorted(by_place.items())


Run = tuple[Points, NDArray[np.bool_]]


def _run(looked: _Looked, mark: Mark, numbers: Iterable[int], drawn: Points, done: _Done) -> Run:
    """Follow from the first of some frames on, whichever way they go; pixels of `_Looked`."""
    follower: Follower | None = None
    points, is_sure = [], []
    for number in numbers:
        grey = looked.grey(number)
        if follower is None:
            follower = Follower(grey, drawn, mark.kind)
        else:
            follower.step(grey)
        points.append(follower.points)
        is_sure.append(follower.is_sure)
        done.one_more()
    return np.array(points), np.array(is_sure, bool)


def _blended(ahead: Run, back: Run) -> Run:
    """Two ways between two places: each counts by how near its own is; a lost one does not."""
    n = len(ahead[0])
    share = np.linspace(0.0, 1.0, n)
    share = np.where(ahead[1] & ~back[1], 0.0, np.where(back[1] & ~ahead[1], 1.0, share))
    share[0], share[-1] = 0.0, 1.0
    weight = share[:, None, None]
    return ahead[0] * (1 - weight) + back[0] * weight, ahead[1] | back[1]


class _Done:
    """Tells progress by frames."""

    def __init__(self, progress: Progress, total: int) -> None:
        self._progress, self._total, self._n = progress, total, 0

    def one_more(self) -> None:
        self._n += 1
        if self._progress is not None:
            self._progress(min(self._n / self._total, 1.0))


class _Looked:
    """Frames in grey, upright, at most `_WIDTH_PX` wide."""

    def __init__(self, reader: CaseReader, cancel: Cancel) -> None:
        self._reader, self._cancel = reader, cancel

    def grey(self, number: int) -> Grey:
        stop_if(self._cancel)
        frame = self._reader.shown(number, self._cancel).frame
        width, height = frame.shown_size
        if width > _WIDTH_PX:
            width, height = _WIDTH_PX, max(round(height * _WIDTH_PX / width), 1)
        bgra = frame.framed(Framing(width, height))
        return np.asarray(cv2.cvtColor(bgra, cv2.COLOR_BGRA2GRAY), np.uint8)
