"""A feed over numbered clips, and somebody who notes every picture that it shows."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import shiboken6
from numbered_clips import read_number

from annotate.clip import build_index
from annotate.clip.showing import NEUTRAL, Framing, Tone
from app.playing.feed import PictureFeed
from app.playing.messages import PartToOpen
from app.playing.shown import CACHE_BYTES, CaseToPlay, Shown


@dataclass(frozen=True)
class Seen:
    """One picture as it came: `read` is the number in its pixels."""

    number: int
    read: int | None
    time_us: int
    at_s: float
    late_s: float
    is_near: bool
    size: tuple[int, int]


@dataclass
class Watcher:
    """Takes pictures from a feed as a screen does."""

    feed: PictureFeed
    reads: bool = True
    seen: list[Seen] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)
    kept_indexes: list[int] = field(default_factory=list)
    n_ended: int = 0
    is_open: bool = False

    def __post_init__(self) -> None:
        self.feed.picture_came.connect(self._take)
        self.feed.failed.connect(self.troubles.append)
        self.feed.clip_ended.connect(self._end)
        self.feed.opened.connect(self._open)

    def _open(self) -> None:
        self.is_open = True

    def _end(self) -> None:
        self.n_ended += 1

    def _take(self) -> None:
        shown = self.feed.take()
        if shown is not None:
            self.seen.append(self._seen(shown))

    def _seen(self, shown: Shown) -> Seen:
        now_s = time.perf_counter()
        read = read_number(shown.pixels[..., 2::-1]) if self.reads else None
        late_s = now_s - shown.due_s if shown.due_s else 0.0
        size = (shown.pixels.shape[1], shown.pixels.shape[0])
        return Seen(shown.number, read, shown.time_us, now_s, late_s, shown.is_near, size)

    @property
    def numbers(self) -> list[int]:
        """Numbers of what was seen, in order."""
        return [seen.number for seen in self.seen]


def case_of(
    paths: Sequence[Path], *, with_index: bool = True, cache_bytes: int = CACHE_BYTES
) -> CaseToPlay:
    """A case to play, of clips end to end."""
    parts = []
    for path in paths:
        index = build_index(path)
        content = index.to_bytes() if with_index else None
        parts.append(PartToOpen(str(path), content, index.n_frames, index.duration_us))
    return CaseToPlay(tuple(parts), lambda *_: None, cache_bytes)


@contextmanager
def watched(
    case: CaseToPlay,
    size: tuple[int, int] = (320, 240),
    *,
    reads: bool = True,
    tone: Tone = NEUTRAL,
) -> Iterator[Watcher]:
    """Open a feed on a case, and close it at the end."""
    feed = PictureFeed(lambda: case)
    watcher = Watcher(feed, reads)
    feed.show_as(Framing(*size), tone, size)
    feed.begin()
    try:
        yield watcher
    finally:
        feed.close()
        shiboken6.delete(feed)  # now, and with it what it still had to tell
