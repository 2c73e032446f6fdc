"""Whole frames, exactly as filmed, taken beside whatever is being shown."""

from __future__ import annotations

import threading
from collections.abc import Sequence

from annotate.clip import CaseReader, ReadingStopped
from annotate.clip.case_parts import CasePart
from annotate.errors import UserFacingError
from app.playing.answers import StillTaken
from app.playing.inbox import Inbox
from app.playing.messages import TakeStill
from app.playing.posting import Send

_CACHE_BYTES = 64 << 20


class StillTaker:
    """A thread with a reader of its own, so that a still never disturbs a run."""

    def __init__(self, parts: Sequence[CasePart], inbox: Inbox, send: Send) -> None:
        self._parts, self._inbox, self._send = parts, inbox, send
        self._is_closing = False
        self._thread = threading.Thread(target=self._run, name="stills", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Stop, and wait for it."""
        self._is_closing = True
        self._inbox.wake()
        self._thread.join()

    def _run(self) -> None:
        reader: CaseReader | None = None
        while (asked := self._inbox.next_still(lambda: self._is_closing)) is not None:
            try:
                if reader is None:
                    reader = CaseReader(self._parts, _CACHE_BYTES)
                self._send(self._taken(reader, asked))
            except UserFacingError as trouble:
                self._send(StillTaken(asked.ticket, asked.number, 0, (0, 0), b"", str(trouble)))
            except ReadingStopped:
                break
        if reader is not None:
            reader.close()

    def _taken(self, reader: CaseReader, asked: TakeStill) -> StillTaken:
        number = min(max(asked.number, 0), reader.n_frames - 1)
        found = reader.shown(number, lambda: self._is_closing, asked.field)
        rgb = found.frame.rgb()
        size = (rgb.shape[1], rgb.shape[0])
        return StillTaken(asked.ticket, found.number, found.time_us, size, rgb.tobytes())
