"""What of the case really ran before the reviewer's eyes; stepping and jumps do not count."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress

from annotate.clock import US_PER_S
from annotate.errors import UserFacingError
from annotate.watching import Watched
from app.review.playhead import Playhead
from store import Store

_AHEAD_S = 0.1
"""A picture that comes so much sooner than the speed allows was jumped to."""
_BEHIND_S = 0.5
"""A run that has fallen so far behind is timed anew from there."""


class Watching:
    """Notes the stretches that run, in memory, until they are flushed to the store.

    Only a draft of one's own notes anything.

    Parameters
    ----------
    now_s : callable
        A clock that never goes back, seconds.
    """

    def __init__(
        self, store: Store, playhead: Playhead, now_s: Callable[[], float] = time.monotonic
    ) -> None:
        self._store, self._playhead, self._now_s = store, playhead, now_s
        self._waiting: list[Watched] = []
        self._start_us: int | None = None
        self._at_us = self._until_us = 0
        self._speed = 1.0
        self._anchor = (0.0, 0)
        self._begun_us = 0
        self._last: tuple[int, int] | None = None
        playhead.playhead_moved.listen(self._move)
        playhead.play_changed.listen(self._change)

    @property
    def waiting(self) -> tuple[Watched, ...]:
        """What ran and is not in the store yet."""
        here = self._running()
        return (*self._waiting, here) if here else tuple(self._waiting)

    def flush(self) -> bool:
        """Give the store what ran so far; what cannot be kept now is kept the next time."""
        self._cut()
        if not self._waiting:
            return True
        if not self._playhead.can_edit:
            self._waiting.clear()
            return True
        with suppress(UserFacingError):
            self._store.keep_watched(self._playhead.session.id, self._waiting)
            self._waiting.clear()
            return True
        return False

    def close(self) -> None:
        """Note no more; what ran is kept."""
        self._end()
        self.flush()
        self._playhead.playhead_moved.forget(self._move)
        self._playhead.play_changed.forget(self._change)

    # Following the playhead

    def _change(self) -> None:
        is_running = self._playhead.is_playing and self._playhead.can_edit
        if self._start_us is not None and (not is_running or self._speed != self._playhead.speed):
            self._end()
        if self._start_us is None and is_running:
            self._begin()

    def _move(self) -> None:
        if self._start_us is None:
            return
        at_us, now_s = self._playhead.playhead_us, self._now_s()
        since_s, from_us = self._anchor
        ahead_us = at_us - from_us - (now_s - since_s) * self._speed * US_PER_S
        if at_us < self._at_us or ahead_us > _AHEAD_S * self._speed * US_PER_S:
            self._end()
            self._begin()
            return
        if ahead_us < -_BEHIND_S * self._speed * US_PER_S:
            self._anchor = (now_s, at_us)
        self._at_us, self._until_us = at_us, self._playhead.until_us

    def _begin(self) -> None:
        """Begin where the viewer is; a frame on which the run stood before counts once."""
        head = self._playhead
        at_us = head.playhead_us
        stood_on_it = self._last is not None and self._last[0] == at_us
        self._start_us = self._last[1] if stood_on_it and self._last else at_us
        self._at_us, self._until_us, self._speed = at_us, head.until_us, head.speed
        self._anchor, self._begun_us = (self._now_s(), at_us), at_us

    def _end(self) -> None:
        self._cut()
        if self._start_us is not None and self._at_us != self._begun_us:
            self._last = (self._at_us, self._until_us)
        self._start_us = None

    def _cut(self) -> None:
        """Put what ran so far with what waits; the run goes on from there."""
        here = self._running()
        if here is None:
            return
        self._start_us = here.end_us
        before = self._waiting[-1] if self._waiting else None
        if before is not None and (before.end_us, before.speed) == (here.start_us, here.speed):
            self._waiting[-1] = Watched(before.start_us, here.end_us, here.speed)
        else:
            self._waiting.append(here)

    def _running(self) -> Watched | None:
        """The stretch that runs, as far as the frame on the screen.

        A run that showed but the frame on which it began has not run.
        """
        if self._start_us is None or self._at_us == self._begun_us:
            return None
        end_us = min(self._until_us, self._playhead.length_us)
        return Watched(self._start_us, end_us, self._speed) if end_us > self._start_us else None
