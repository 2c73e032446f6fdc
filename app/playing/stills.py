"""Whole frames, exactly as filmed, taken beside whatever is being shown."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence

from annotate.clip import CaseReader, ReadingStopped
from annotate.clip.cache import BRIEFLY
from annotate.clip.case_parts import CasePart
from annotate.errors import UserFacingError
from app.playing.answers import StillTaken
from app.playing.inbox import Inbox
from app.playing.messages import TakeStill
from app.playing.posting import Send

_CACHE_BYTES = 64 << 20


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
                with CaseReader(self._parts, _CACHE_BYTES) as reader:
                    self._send(self._taken(reader, asked))
            except UserFacingError as trouble:
                self._send(StillTaken(asked.ticket, asked.number, 0, (0, 0), b"", str(trouble)))
            except ReadingStopped:
                break
            finally:
                self._set_aside(BRIEFLY, 0)

    def _taken(self, reader: CaseReader, asked: TakeStill) -> StillTaken:
        number = min(max(asked.number, 0), reader.n_frames - 1)
        self._set_aside(BRIEFLY, reader.most_bytes(number))
        found = reader.shown(number, lambda: self._is_closing, asked.field)
        rgb = found.frame.rgb()
        size = (rgb.shape[1], rgb.shape[0])
        return StillTaken(asked.ticket, found.number, found.time_us, size, rgb.tobytes())
