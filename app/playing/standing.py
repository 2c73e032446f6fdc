"""Showing one frame: exactly, or for a moment a near one while the pointer is dragged along."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from annotate.clip import CaseReader, ReadingStopped
from annotate.errors import UserFacingError
from app.playing.answers import Trouble
from app.playing.filler import Filler
from app.playing.inbox import Inbox
from app.playing.messages import Show
from app.playing.posting import Poster, Send

_RESTS_S = 0.07
"""A pointer that has not moved for so long rests."""

_BACK, _ON = 64, 12
"""Frames made ready around one that stands: enough to begin running backward without a stop."""


@dataclass
class Standing:
    """Serves `Show` on one case."""

    reader: CaseReader
    inbox: Inbox
    poster: Poster
    filler: Filler
    send: Send

    def show(self, wish: Show) -> None:
        """Post the frame; then have its neighbours made ready."""
        number = min(max(wish.number, 0), self.reader.n_frames - 1)
        try:
            self.reader.focus(number, -1)
            if wish.is_passing and not self._post_near(wish, number):
                return
            self._post_exactly(wish, number)
        except UserFacingError as trouble:
            self.send(Trouble(wish.epoch, str(trouble)))
        except ReadingStopped:
            return

    def _post_near(self, wish: Show, number: int) -> bool:
        """Post a picture that is quick to have; True once the pointer rests."""
        self.filler.rest()
        fetch = self.reader.shown if self.reader.is_at_hand(number) else self.reader.key_frame
        near = fetch(number, partial(self.inbox.is_passed_by, wish.epoch))
        is_posted = self.poster.post(near, wish.epoch, number, is_near=True)
        return is_posted and self.inbox.rests(wish.epoch, _RESTS_S)

    def _post_exactly(self, wish: Show, number: int) -> None:
        if not self.reader.is_at_hand(number):
            self.filler.rest()
        found = self.reader.shown(number, self._stale(wish), wish.field)
        is_posted = self.poster.post(found, wish.epoch, number, field=wish.field)
        if is_posted and not wish.is_passing:
            back = min(_BACK, self.reader.n_cached_at_most(number) // 2)
            self.filler.want(number - back, number + _ON, -1)

    def _stale(self, wish: Show) -> Callable[[], bool]:
        return partial(self.inbox.is_stale, wish.epoch)
