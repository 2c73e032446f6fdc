"""One open case in the decoder: whatever serves its wishes, on as much of its index as there is."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from annotate.clip import CaseReader
from annotate.clip.case_parts import CasePart
from annotate.errors import UserFacingError
from app.playing.answers import Opened, Trouble
from app.playing.filler import Filler
from app.playing.inbox import Inbox
from app.playing.messages import Open, Play, Show
from app.playing.part_index import PartIndex
from app.playing.posting import Poster, Send
from app.playing.running import Runner
from app.playing.standing import Standing

_NO_LIMIT = 1 << 62


@dataclass(frozen=True)
class _Staff:
    """What reads, and what serves from it."""

    reader: CaseReader
    filler: Filler
    standing: Standing
    runner: Runner

    def close(self) -> None:
        self.filler.close()
        self.reader.close()


class ServedCase:
    """Serves the wishes of one case.

    Raises
    ------
    UserFacingError
        If the parts cannot lie as they are said to.
    """

    def __init__(self, told: Open, inbox: Inbox, send: Send) -> None:
        self._told, self._inbox, self._send = told, inbox, send
        self._indexes = [PartIndex(n, part, send) for n, part in enumerate(told.parts)]
        self._is_announced = False
        self._aside: dict[str, int] = {}
        self._lock = threading.Lock()
        self._staff = self._new_staff()

    @property
    def parts(self) -> list[CasePart]:
        """The parts for whoever needs all of their indexes."""
        return self._parts(PartIndex.whole)

    def serve(self, wish: Show | Play) -> None:
        """Serve a wish; waits for the index where it does not reach there yet."""
        number: int | None = wish.number
        self.set_aside("screen", self._inbox.shared_bytes)
        while number is not None and self._reaches(number, wish):
            if isinstance(wish, Show):
                self._staff.standing.show(wish)
                number = None
            else:
                number = self._staff.runner.run(replace(wish, number=number))
        if not self._is_announced:
            self._announce()

    def set_aside(self, use: str, n_bytes: int) -> None:
        """Leave room within the bound on decoded pictures for something else; any thread may."""
        with self._lock:
            if self._aside.get(use, 0) != n_bytes:
                self._aside[use] = n_bytes
                self._staff.reader.set_aside(use, n_bytes)

    def close(self) -> None:
        """Let go of everything."""
        with ExitStack() as stack:
            stack.callback(self._staff.close)
            for index in self._indexes:
                stack.callback(index.close)

    def sure_last(self, ordinal: int) -> int:
        """Last frame that may be shown of a part as far as its index goes by now."""
        given = self._indexes[ordinal].given
        if given is None or not given.is_partial:
            return _NO_LIMIT
        reader = self._staff.reader
        last_us = given.time_of(max(given.n_frames - 3, 0))
        return reader.number_at(max(reader.clock.to_case(ordinal, last_us), 0))

    def _reaches(self, number: int, wish: Show | Play) -> bool:
        """Have an index that holds a frame; False if something newer is wished for meanwhile."""
        reader = self._staff.reader
        ordinal, in_clip = reader.locate(min(max(number, 0), reader.n_frames - 1))
        index = self._indexes[ordinal]
        if index.has(in_clip):
            return True
        try:
            if not index.grown_to(in_clip, partial(self._inbox.is_stale, wish.epoch)):
                return False
        except UserFacingError as trouble:
            self._send(Trouble(wish.epoch, str(trouble)))
            return False
        self._staff.close()
        with self._lock:
            self._staff = self._new_staff()
        return True

    def _new_staff(self) -> _Staff:
        told, inbox, send = self._told, self._inbox, self._send
        for index in self._indexes:
            index.given = None
        reader = CaseReader(self._parts(PartIndex.beginning), told.cache_bytes)
        for use, n_bytes in self._aside.items():
            reader.set_aside(use, n_bytes)
        filler = Filler(reader, self.sure_last)
        poster = Poster(reader, inbox, send)
        standing = Standing(reader, inbox, poster, filler, send)
        runner = Runner(reader, inbox, poster, filler, send, self.sure_last)
        return _Staff(reader, filler, standing, runner)

    def _parts(self, give: Callable[[PartIndex], object]) -> list[CasePart]:
        return [
            CasePart(
                Path(part.path),
                partial(give, index),  # type: ignore[arg-type]
                part.n_frames,
                part.duration_us,
                part.lead_us,
            )
            for part, index in zip(self._told.parts, self._indexes, strict=True)
        ]

    def _announce(self) -> None:
        """Say what the case is, once something of it was shown; lost parts have told already."""
        reader = self._staff.reader
        size, is_interlaced = (0, 0), False
        for part in range(reader.n_parts):
            number = reader.number_at(reader.clock.start_of(part))
            try:
                size = reader.key_frame(number).frame.shown_size
                is_interlaced = reader.is_interlaced(number)
            except UserFacingError:
                continue
            break
        self._is_announced = True
        self._send(Opened(reader.n_frames, reader.clock.duration_us, size, is_interlaced))
