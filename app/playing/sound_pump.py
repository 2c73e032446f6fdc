"""Sound is read ahead in the decoder's process, as far as the desk has room for it."""

from __future__ import annotations

import threading
import traceback
from collections.abc import Callable
from dataclasses import dataclass

from annotate.clip.case_sound import CaseSound
from annotate.clip.sound_tempo import BYTES_PER_SAMPLE, has_sound_at
from annotate.clip.sound_times import RATE_HZ
from annotate.clip.stopping import ReadingStopped
from annotate.errors import UserFacingError
from app.playing.sound_messages import FromPump, SoundChunk, SoundEnded, SoundTracks

AHEAD_BYTES = RATE_HZ * BYTES_PER_SAMPLE * 3 // 4
"""Sent and not yet played at most: 0.75 s."""


@dataclass(frozen=True)
class _Wish:
    generation: int
    case_us: int
    speed: float
    track: int


class SoundPump:
    """Sends sound from a case time on, on a thread of its own; any thread may call it.

    Nothing is opened before the first start. What cannot be read is silence; nothing is raised.

    Parameters
    ----------
    open_sound : callable
        Opens the case's sound; called on the pump's thread, once.
    send : callable
        Takes what is to be told to the desk; called on the pump's thread.
    """

    def __init__(
        self, open_sound: Callable[[], CaseSound], send: Callable[[FromPump], None]
    ) -> None:
        self._open_sound, self._send = open_sound, send
        self._changed = threading.Condition()
        self._wish: _Wish | None = None
        self._on_the_way = 0
        self._is_closing = False
        self._sound: CaseSound | None = None
        self._thread = threading.Thread(target=self._work, name="sound pump", daemon=True)
        self._thread.start()

    def start(self, generation: int, case_us: int, speed: float, track: int = 0) -> None:
        """Send the sound from a case time on, in the place of any other; none at some speeds."""
        with self._changed:
            self._wish = _Wish(generation, case_us, speed, track) if has_sound_at(speed) else None
            self._on_the_way = 0
            self._changed.notify_all()

    def stop(self) -> None:
        """Send nothing more."""
        with self._changed:
            self._wish = None
            self._changed.notify_all()

    def consumed(self, generation: int, n_bytes: int) -> None:
        """Hear that the desk has played so much of a start; of an earlier one, it is nothing."""
        with self._changed:
            if self._wish is not None and self._wish.generation == generation:
                self._on_the_way = max(0, self._on_the_way - n_bytes)
                self._changed.notify_all()

    def close(self, timeout_s: float = 5.0) -> None:
        """End the thread and let go of the files."""
        with self._changed:
            self._is_closing, self._wish = True, None
            self._changed.notify_all()
        self._thread.join(timeout_s)

    def _work(self) -> None:
        served: _Wish | None = None
        while True:
            with self._changed:
                while not self._is_closing and self._wish in (None, served):
                    self._changed.wait()
                served = self._wish
                if self._is_closing or served is None:
                    break
            self._serve(served)
        if self._sound is not None:
            self._sound.close()

    def _serve(self, wish: _Wish) -> None:
        report = ""
        try:
            if self._sound is None:
                self._sound = self._open_sound()
            self._send(SoundTracks(wish.generation, self._sound.tracks_at(wish.case_us)))
            for block in self._sound.blocks(
                wish.case_us, wish.speed, wish.track, lambda: self._wish is not wish
            ):
                pcm = block.samples.tobytes()
                if not self._may_send(wish, len(pcm)):
                    return
                self._send(SoundChunk(wish.generation, block.start_us, wish.speed, pcm))
        except ReadingStopped:
            return
        except UserFacingError:
            pass  # the pictures say it
        except Exception as fault:  # noqa: BLE001 - pictures go on without sound; the desk reports it
            report = "".join(traceback.format_exception(fault))
        self._send(SoundEnded(wish.generation, report))

    def _may_send(self, wish: _Wish, n_bytes: int) -> bool:
        """Wait for room; False once something else is wished for."""
        with self._changed:
            self._changed.wait_for(
                lambda: self._wish is not wish or self._on_the_way + n_bytes <= AHEAD_BYTES
            )
            if self._wish is not wish:
                return False
            self._on_the_way += n_bytes
            return True
