"""The desk's line to a decoder: restarts one that dies, says again what was wished for.

Lives on the feed's thread.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from multiprocessing.connection import Connection, wait

from app.playing.answers import Ended, Fault, FromDecoder, Picture, Pong, Trouble
from app.playing.decoders import Decoder, decoders
from app.playing.messages import Open, Ping, Play, Show, ShowAs, ToDecoder, UseMemory

_SILENT_S = 5.0
"""A decoder that owes a picture and says nothing for so long is asked whether it moves."""

_MOST_DEATHS = 3
_DEATHS_WITHIN_S = 60.0


class DecoderDied(Exception):  # noqa: N818 - a message to the feed
    """The decoder ended too often at one place; its argument is a sentence for the user."""


class Line:
    """Talks to a decoder, whichever serves just now.

    Attributes
    ----------
    n_deaths : int
        How many decoders have ended by themselves.

    Parameters
    ----------
    wake : Connection
        Anything that comes here ends a wait.
    fresh_memory : callable
        Makes memory for a decoder that takes the place of another.
    """

    def __init__(self, wake: Connection, fresh_memory: Callable[[], UseMemory]) -> None:
        self._wake = wake
        self._fresh_memory = fresh_memory
        self._decoder: Decoder | None = decoders.take()
        self._open: Open | None = None
        self._show_as = ShowAs()
        self._wish: Show | Play | None = None
        self._owes_since_s: float | None = None
        self._is_asked = False
        self._ticks = -1
        self._deaths: list[float] = []
        self.last_report = ""

    @property
    def n_deaths(self) -> int:
        """How many decoders have ended by themselves."""
        return len(self._deaths)

    @property
    def process_id(self) -> int | None:
        """Of the decoder that serves now."""
        return self._decoder.process.pid if self._decoder is not None else None

    def send(self, message: ToDecoder) -> None:
        """Tell the decoder, and remember what a new one has to be told."""
        match message:
            case Open():
                self._open = message
            case ShowAs():
                self._show_as = message
            case Show() | Play():
                self._wish = message
                self._owe(time.perf_counter())
        if self._decoder is not None:
            self._decoder.send(message)  # one that is gone is noticed when it is listened to

    def receive(self, timeout_s: float | None) -> FromDecoder | None:
        """Wait for the next message; None when woken or when the time is over.

        Raises
        ------
        DecoderDied
            If decoders end again and again.
        """
        if self._decoder is None:
            wait([self._wake], timeout_s)
            self._drain()
            return None
        look_s = min(_SILENT_S, timeout_s) if timeout_s is not None else _SILENT_S
        ready = wait([self._decoder.connection, self._wake], look_s)
        if self._wake in ready:
            self._drain()
        if self._decoder.connection not in ready:
            self._look_whether_it_moves()
            return None
        try:
            message: FromDecoder = self._decoder.connection.recv()
        except (EOFError, OSError):
            self._replace()
            return None
        return self._noticed(message)

    def now_at(self, number: int) -> None:
        """A run has come so far: a new decoder begins there."""
        if isinstance(self._wish, Play):
            play = self._wish
            self._wish = Play(play.epoch, number, play.speed, play.loop)

    def close(self) -> None:
        """Hand the decoder back."""
        if self._decoder is not None:
            decoders.give_back(self._decoder)
            self._decoder = None

    def _noticed(self, message: FromDecoder) -> FromDecoder | None:
        match message:
            case Picture(epoch=epoch) | Ended(epoch=epoch) | Trouble(epoch=epoch):
                if self._wish is not None and epoch == self._wish.epoch:
                    is_running = isinstance(self._wish, Play) and isinstance(message, Picture)
                    self._owe(time.perf_counter() if is_running else None)
            case Pong(ticks=ticks):
                self._is_asked = False
                if ticks == self._ticks and self._owes_since_s is not None:
                    self._replace()  # it listens, and its codec hangs
                self._ticks = ticks
                return None
            case Fault(report=report):
                self.last_report = report
                self._replace()
                return None
        return message

    def _drain(self) -> None:
        while self._wake.poll():
            self._wake.recv_bytes()

    def _look_whether_it_moves(self) -> None:
        owes = self._owes_since_s
        if owes is None or time.perf_counter() - owes < _SILENT_S or self._decoder is None:
            return
        if self._is_asked:
            self._replace()  # it does not even listen
            return
        self._owes_since_s, self._is_asked = time.perf_counter(), True
        self._decoder.send(Ping())

    def _owe(self, since_s: float | None) -> None:
        """Note since when a picture is awaited; None for not at all."""
        self._owes_since_s, self._is_asked, self._ticks = since_s, False, -1

    def _replace(self) -> None:
        """Put another decoder in the place of one that ended, and say all again."""
        if self._decoder is not None:
            self._decoder.end()
            self._decoder = None
        now_s = time.perf_counter()
        self._deaths.append(now_s)
        lately = [at for at in self._deaths if now_s - at < _DEATHS_WITHIN_S]
        if len(lately) >= _MOST_DEATHS:
            raise DecoderDied(
                "The recording cannot be decoded here: reading it ended the decoder "
                f"{len(lately)} times. Tags and comments are safe. Go to another place of the "
                "case, or copy the recording again."
            )
        self._start()

    def start_again(self) -> None:
        """Try once more after DecoderDied, when something else is wished for."""
        if self._decoder is None:
            self._deaths.clear()
            self._start()

    def _start(self) -> None:
        self._decoder = decoders.take()
        memory = self._fresh_memory()  # what hung or died may still write into the old one
        for message in (self._open, memory, self._show_as, self._wish):
            if message is not None:
                self._decoder.send(message)
        self._owe(time.perf_counter() if self._wish is not None else None)
