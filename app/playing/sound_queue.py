"""Sound that waits for the device, joined to the beat of the pictures."""

from __future__ import annotations

import threading
from bisect import bisect_right
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from annotate.clip.sound_tempo import BYTES_PER_SAMPLE
from annotate.clip.sound_times import RATE_HZ
from app.playing.heard_clock import HeardClock
from app.playing.sound_messages import SoundChunk

_US = 1_000_000
_AMISS_S = 0.02
"""Sound further from its picture than this is moved: left out, or put off by silence."""

_SETTLED_S = 0.003
"""As near is it brought once, as soon as the device runs steadily; no splice is heard so early."""

_AMISS_FOR_S = 0.3
_MOST_AMISS_S = 0.25
_MOST_MOVED_S = 0.5
_KEPT_SPANS = 200


@dataclass(frozen=True, slots=True)
class _Span:
    """From a sample of the device on, case time runs so; `case_us` is None in silence."""

    first: int
    case_us: float | None
    speed: float


class SoundQueue:
    """Chunks in, samples out, and the case time that is heard. Any thread may call it.

    Parameters
    ----------
    consumed : callable
        Told the generation and the bytes that are no longer here.
    latency_s : float
        From the device's taking sound to its being heard, seconds.
    """

    def __init__(self, consumed: Callable[[int, int], None], latency_s: float) -> None:
        self._consumed = consumed
        self._latency_s = latency_s
        self._lock = threading.RLock()
        self._generation = -1
        self._case_us, self._speed = 0, 1.0
        self._due_s: float | None = None
        self.restart_device()
        self._forget()

    def begin(self, generation: int, case_us: int, speed: float, due_s: float | None) -> None:
        """Play another start: `case_us` is to be heard at moment `due_s`, or as soon as can be."""
        with self._lock:
            self._forget()
            self._generation, self._case_us, self._speed = generation, case_us, speed
            self._due_s = due_s

    def end(self) -> None:
        """Play nothing more."""
        with self._lock:
            self._forget()
            self._generation = -1

    def restart_device(self) -> None:
        """Count from 0 again: another device, or the same one begun again."""
        with self._lock:
            self._given = 0
            self._spans: list[_Span] = [_Span(0, None, 1.0)]
            self._clock = HeardClock(self._latency_s)
            self._amiss_since_s: float | None = None

    def put(self, chunk: SoundChunk) -> bool:
        """Take in a chunk; False if it belongs to an earlier start."""
        with self._lock:
            if chunk.generation != self._generation:
                return False
            self._chunks.append(chunk)
            return True

    def take(self, n_bytes: int, now_s: float) -> bytes:
        """Give the device exactly so many bytes, silence where there is nothing to hear."""
        with self._lock:
            wanted = n_bytes - n_bytes % BYTES_PER_SAMPLE
            given = bytearray()
            self._follow_pictures(now_s)
            while len(given) < wanted:
                part = self._next_part(wanted - len(given))
                given += part
                self._given += len(part) // BYTES_PER_SAMPLE
            return bytes(given)

    def note_taken(self, now_s: float, taken_s: float) -> None:
        """Hear how much the device has taken since it began, seconds."""
        with self._lock:
            self._clock.note(now_s, taken_s)

    def heard_us(self, now_s: float) -> float | None:
        """Case time that is heard at a moment; None in silence and where that is not known."""
        with self._lock:
            heard_s = self._clock.heard_s(now_s)
            if heard_s is None:
                return None
            at = max(0.0, heard_s * RATE_HZ)
            span = self._spans[max(0, bisect_right([s.first for s in self._spans], at) - 1)]
            if span.case_us is None:
                return None
            case_us = span.case_us + (at - span.first) * span.speed * _US / RATE_HZ
            if self._due_s is not None:
                due_us = self._case_us + (now_s - self._due_s) * self._speed * _US
                if abs(case_us - due_us) > _MOST_AMISS_S * self._speed * _US:
                    return None  # left over in a device that stood still; it is being mended
            return case_us

    def _forget(self) -> None:
        self._chunks: deque[SoundChunk] = deque()
        self._offset = 0
        self._silent_bytes = 0
        self._is_joined = False
        self._is_settled = False
        self._due_s = None
        self._amiss_since_s = None

    def _next_part(self, most_bytes: int) -> bytes:
        if self._silent_bytes or not self._chunks:
            n_bytes = min(most_bytes, self._silent_bytes or most_bytes)
            self._silent_bytes = max(0, self._silent_bytes - n_bytes)
            self._mark(None)
            return bytes(n_bytes)
        chunk = self._chunks[0]
        self._mark(self._next_us())
        part = chunk.pcm[self._offset : self._offset + most_bytes]
        self._pass_over(len(part))
        return part

    def _next_us(self) -> float:
        """Case time of the next sample that waits here."""
        chunk = self._chunks[0]
        return chunk.case_us + self._offset / BYTES_PER_SAMPLE * chunk.speed * _US / RATE_HZ

    def _pass_over(self, n_bytes: int) -> None:
        """Let go of the next bytes, heard or not."""
        while n_bytes and self._chunks:
            step = min(n_bytes, len(self._chunks[0].pcm) - self._offset)
            self._offset += step
            n_bytes -= step
            self._consumed(self._generation, step)
            if self._offset >= len(self._chunks[0].pcm):
                self._chunks.popleft()
                self._offset = 0

    def _mark(self, case_us: float | None) -> None:
        """Say what the sample that is given next is."""
        last = self._spans[-1]
        if case_us is None:
            runs_on = last.case_us is None
        else:
            expected = (last.case_us or 0) + (self._given - last.first) * last.speed * _US / RATE_HZ
            runs_on = (
                last.case_us is not None
                and last.speed == self._speed
                and abs(expected - case_us) < 100
            )
        if not runs_on:
            self._spans.append(_Span(self._given, case_us, self._speed))
            del self._spans[:-_KEPT_SPANS]

    def _follow_pictures(self, now_s: float) -> None:
        """Leave out sound that is late, or put off sound that is early, once that is sure."""
        if self._due_s is None or not self._chunks or self._silent_bytes:
            return
        heard_s = self._clock.heard_s(now_s)
        is_steady = heard_s is not None
        if heard_s is None:
            if self._is_joined:
                return
            heard_s = self._clock.surely_heard_s  # it is about to begin: the best guess
        heard_at_s = now_s + self._given / RATE_HZ - heard_s
        due_us = self._case_us + (heard_at_s - self._due_s) * self._speed * _US
        late_s = (due_us - self._next_us()) / _US / self._speed
        if self._is_settled or (self._is_joined and not is_steady):
            if not self._is_amiss(late_s, now_s):
                return
        elif abs(late_s) < _SETTLED_S:
            self._is_joined, self._is_settled = True, is_steady
            return
        self._amiss_since_s = None
        n_bytes = round(min(abs(late_s), _MOST_MOVED_S) * RATE_HZ) * BYTES_PER_SAMPLE
        if late_s > 0:
            self._pass_over(n_bytes)
        else:
            self._silent_bytes = n_bytes
        # Where what waits here does not reach so far, it goes on with the next chunks.
        self._is_joined = abs(late_s) < _MOST_MOVED_S and bool(self._chunks)
        self._is_settled = self._is_joined and is_steady

    def _is_amiss(self, late_s: float, now_s: float) -> bool:
        if abs(late_s) < _AMISS_S:
            self._amiss_since_s = None
            return False
        if self._amiss_since_s is None:
            self._amiss_since_s = now_s
        return now_s - self._amiss_since_s >= _AMISS_FOR_S
