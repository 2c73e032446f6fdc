"""A picture painted from a feed, timed at the end of each painting."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import shiboken6
from numpy.typing import NDArray

from annotate.clip import ClipIndex, build_index
from app.playing.feed import PictureFeed
from app.playing.messages import PartToOpen
from app.playing.shown import CACHE_BYTES, CaseToPlay, Shown
from app.review.picture import PictureView

SCREEN = (1280, 720)


@dataclass(frozen=True)
class Painted:
    """One painting: when it was done, what it showed, when it was due."""

    at_s: float
    number: int
    time_us: int
    due_s: float
    is_near: bool


@dataclass
class Stage:
    """A feed and the view that it paints on."""

    feed: PictureFeed
    view: PictureView
    painted: list[Painted] = field(default_factory=list)
    n_ended: int = 0
    is_open: bool = False
    opened_s: float = 0.0

    def __post_init__(self) -> None:
        self.feed.picture_came.connect(self._paint)
        self.feed.clip_ended.connect(self._end)
        self.feed.opened.connect(self._open)

    def _open(self) -> None:
        self.is_open = True

    def _end(self) -> None:
        self.n_ended += 1

    def _paint(self) -> None:
        shown: Shown | None = self.feed.take()
        if shown is None:
            return
        self.view.set_picture_size(shown.picture_size)
        self.view.show_picture(shown)
        self.view.repaint()
        at_s = time.perf_counter()
        self.painted.append(Painted(at_s, shown.number, shown.time_us, shown.due_s, shown.is_near))

    @property
    def late_ms(self) -> NDArray[np.float64]:
        """By how much each painting of a run was done after its moment."""
        return np.array([(p.at_s - p.due_s) * 1e3 for p in self.painted if p.due_s])

    @property
    def n_dropped(self) -> int:
        """Pictures decoded too late, and those that the screen had no time for."""
        pace = self.feed.pace
        return self.feed.n_missed + (pace.n_dropped if pace is not None else 0)

    def clear(self) -> None:
        """Forget what was painted."""
        self.painted.clear()
        self.feed.n_missed, self.feed.pace, self.n_ended = 0, None, 0


def case_with(
    path: Path, index: ClipIndex | None = None, *, is_known: bool = True,
    cache_bytes: int = CACHE_BYTES,
) -> CaseToPlay:  # fmt: skip
    """A case of one clip; without its index where the desk is not to have it."""
    made = index or build_index(path)
    content = made.to_bytes() if is_known else None
    part = PartToOpen(str(path), content, made.n_frames, made.duration_us)
    return CaseToPlay((part,), lambda *_: None, cache_bytes)


@contextmanager
def stage(case: CaseToPlay, size: tuple[int, int] = SCREEN) -> Iterator[Stage]:
    """Open a case on a screen of a size."""
    view = PictureView()
    view.resize(*size)
    view.show()
    opened_s = time.perf_counter()
    feed = PictureFeed(lambda: case)
    made = Stage(feed, view, opened_s=opened_s)
    feed.show_as(view.framing, view.tone, view.room(), view.look_room().picture)
    feed.begin()
    try:
        yield made
    finally:
        feed.close()
        shiboken6.delete(feed)
        shiboken6.delete(view)
