"""Decoders' processes: one a case, a spare one kept warm, each used again while it is well."""

from __future__ import annotations

import atexit
import multiprocessing
import threading
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess

from app.playing.answers import Left
from app.playing.decoder_main import serve
from app.playing.messages import Leave, ToDecoder

_MOST_CASES = 12
"""Cases that one process serves: a codec's leaks end with it."""

_MOST_SPARE = 2
_GRACE_S = 3.0


class Decoder:
    """A decoder's process, seen from the desk. Used by one thread at a time."""

    def __init__(self) -> None:
        here, there = multiprocessing.Pipe()
        context = multiprocessing.get_context("spawn")
        self.connection: Connection = here
        self.process: BaseProcess = context.Process(
            target=serve, args=(there,), name="decoder", daemon=True
        )
        self.process.start()
        there.close()
        self.n_cases = 0
        self.n_left = 0

    def send(self, message: ToDecoder) -> bool:
        """Tell it something; False if it is gone."""
        try:
            self.connection.send(message)
        except (OSError, ValueError):
            return False
        return True

    @property
    def is_well(self) -> bool:
        """Whether it can serve another case."""
        return self.process.is_alive() and self.n_cases <= _MOST_CASES

    def settle(self) -> bool:
        """Wait until it has left the case before; False if it does not in time."""
        while self.n_left < self.n_cases - 1:
            try:
                if not self.connection.poll(_GRACE_S):
                    return False
                self.n_left += isinstance(self.connection.recv(), Left)
            except (EOFError, OSError):
                return False
        return True

    def end(self) -> None:
        """End it at once; it holds nothing that could be lost."""
        self.connection.close()
        self.process.kill()
        self.process.join()
        self.process.close()


class DecoderPool:
    """Gives out decoders and takes them back."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._spare: list[Decoder] = []
        self._is_closed = False

    def warm(self) -> None:
        """Have one ready before it is needed: starting takes half a second."""
        with self._lock:
            if not self._spare and not self._is_closed:
                self._spare.append(Decoder())

    def take(self) -> Decoder:
        """One that serves nobody."""
        with self._lock:
            while self._spare:
                found = self._spare.pop()
                found.n_cases += 1
                if found.is_well and found.settle():
                    return found
                found.end()
        made = Decoder()
        made.n_cases = 1
        return made

    def give_back(self, decoder: Decoder) -> None:
        """Take one back; what it said and nobody read is thrown away."""
        with self._lock:
            is_wanted = len(self._spare) < _MOST_SPARE and not self._is_closed
            if is_wanted and decoder.is_well and decoder.send(Leave()):
                self._spare.append(decoder)
                return
        decoder.end()

    def close(self) -> None:
        """End all that serve nobody."""
        with self._lock:
            self._is_closed = True
            spare, self._spare = self._spare, []
        for decoder in spare:
            decoder.end()


decoders = DecoderPool()
"""The desk's decoders."""

atexit.register(decoders.close)
