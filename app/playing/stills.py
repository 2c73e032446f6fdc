"""Whole frames, exactly as filmed, taken beside whatever is being shown."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence

from annotate.clip import CaseFrame, CaseReader, ReadingStopped
from annotate.clip.cache import BRIEFLY
from annotate.clip.case_parts import CasePart
from annotate.clip.lasting import give_back, lasting
from annotate.errors import UserFacingError
from app.playing.answers import StillTaken
from app.playing.inbox import Inbox
from app.playing.messages import TakeStill
from app.playing.posting import Send

_CACHE_BYTES = 1
"""Nothing is kept: one picture is wanted."""

_BYTES_A_PIXEL = 9
"""While a picture becomes RGB and is sent: 3 bytes a pixel, three times."""


class StillTaker:
    """A thread with a reader of its own, so that a still never disturbs a run.

    Parameters
    ----------
    set_aside : callable
        Has room left for that reader, within the bound on the case's decoded pictures, as long as
        it is open.
    """

    def __init__(
        self,
        parts: Sequence[CasePart],
        inbox: Inbox,
        send: Send,
        set_aside: Callable[[str, int], None],
    ) -> None:
        self._parts, self._inbox, self._send = parts, inbox, send
        self._set_aside = set_aside
        self._is_closing = False
        self._thread = threading.Thread(target=self._run, name="stills", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Stop, and wait for it."""
        self._is_closing = True
        self._inbox.wake()
        self._thread.join()

    def _run(self) -> None:
        while (asked := self._inbox.next_still(lambda: self._is_closing)) is not None:
            try:
                self._send(self._taken(asked))
            except UserFacingError as trouble:
                self._send(StillTaken(asked.ticket, asked.number, 0, (0, 0), b"", str(trouble)))
            except ReadingStopped:
                break
            finally:
                give_back()
                self._set_aside(BRIEFLY, 0)

    def _taken(self, asked: TakeStill) -> StillTaken:
        found = self._found(asked)
        give_back()  # the decoder's pictures, before this one becomes three
        width, height = found.frame.shown_size
        self._set_aside(BRIEFLY, width * height * _BYTES_A_PIXEL)
        rgb = found.frame.rgb()
        size = (rgb.shape[1], rgb.shape[0])
        return StillTaken(asked.ticket, found.number, found.time_us, size, rgb.tobytes())

    def _found(self, asked: TakeStill) -> CaseFrame:
        """The frame, out of the pool of a decoder that is closed again."""
        with CaseReader(self._parts, _CACHE_BYTES) as reader:
            number = min(max(asked.number, 0), reader.n_frames - 1)
            self._set_aside(BRIEFLY, reader.most_bytes(number))
            found = reader.shown(number, lambda: self._is_closing, asked.field)
            lasting(found.frame.picture)
        return found
