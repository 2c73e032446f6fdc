"""The decoder's process: listens to the desk, decodes one case, posts pictures.

A fault in a codec takes this process with it and nothing else; the desk starts another one.
"""

from __future__ import annotations

import sys
import threading
import traceback
from contextlib import ExitStack
from multiprocessing.connection import Connection

from annotate.clip import CaseReader
from annotate.clip.case_sound import CaseSound
from annotate.errors import UserFacingError
from app.playing.case_parts import case_parts, scanner
from app.playing.filler import Filler
from app.playing.inbox import Inbox
from app.playing.messages import (
    Fault,
    FromDecoder,
    Leave,
    Left,
    Open,
    Opened,
    Ping,
    Play,
    Pong,
    Show,
    SoundStop,
    SoundUsed,
    SoundWish,
    Trouble,
)
from app.playing.posting import Poster
from app.playing.running import Runner
from app.playing.sound_pump import SoundPump
from app.playing.standing import Standing
from app.playing.stills import StillTaker

_SWITCH_S = 0.001
"""How long one thread may keep the interpreter from another: steps are answered in a few ms."""


def serve(connection: Connection) -> None:
    """Serve one desk until it goes away. The process's main function."""
    sys.setswitchinterval(_SWITCH_S)
    decoder = _Decoder(connection)
    worker = threading.Thread(target=decoder.work, name="decoding", daemon=True)
    worker.start()
    decoder.listen()
    worker.join(timeout=2.0)  # a codec that hangs must not keep the process


class _Decoder:
    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._inbox = Inbox()
        self._may_send = threading.Lock()
        self._pump: SoundPump | None = None

    def send(self, message: FromDecoder) -> None:
        """Tell the desk something; nobody listens any more once the desk is gone."""
        with self._may_send:
            try:
                self._connection.send(message)
            except (OSError, ValueError):
                self._inbox.close()

    def listen(self) -> None:
        """Take in what the desk says, until it is gone."""
        while not self._inbox.is_closing:
            try:
                message = self._connection.recv()
            except (EOFError, OSError):
                break
            match message:
                case Ping():
                    self.send(Pong(self._inbox.ticks))
                case SoundWish() | SoundStop() | SoundUsed():
                    self._tell_pump(message)
                case _:
                    self._inbox.post(message)
        self._inbox.close()

    def _tell_pump(self, message: SoundWish | SoundStop | SoundUsed) -> None:
        pump = self._pump
        if pump is None:
            return
        match message:
            case SoundWish():
                pump.start(message.generation, message.case_us, message.speed, message.track)
            case SoundStop():
                pump.stop()
            case SoundUsed():
                pump.consumed(message.generation, message.n_bytes)

    def work(self) -> None:
        """Do what is wished for, until the desk is gone."""
        try:
            while (job := self._inbox.next_job()) is not None:
                if isinstance(job, Open):
                    job = self._serve_case(job)
                if isinstance(job, Leave):
                    self.send(Left())
        except Exception as fault:  # noqa: BLE001 - told to the desk, which starts another process
            report = "".join(traceback.format_exception(fault))
            self.send(Fault(type(fault).__name__, report))
            self._inbox.close()

    def _serve_case(self, told: Open) -> Leave | None:
        """Serve an open case until it is left."""
        with ExitStack() as stack:
            parts = case_parts(told, scanner(self._inbox, self.send))
            try:
                reader = CaseReader(parts, told.cache_bytes)
            except UserFacingError as trouble:
                self.send(Trouble(0, str(trouble)))
                return None
            stack.callback(reader.close)
            filler = Filler(reader)
            stack.callback(filler.close)
            stills = StillTaker(parts, self._inbox, self.send)
            stack.callback(stills.close)
            self._pump = SoundPump(lambda: CaseSound(parts), self.send)
            stack.callback(self._pump.close)
            poster = Poster(reader, self._inbox, self.send)
            standing = Standing(reader, self._inbox, poster, filler, self.send)
            runner = Runner(reader, self._inbox, poster, filler, self.send, told.cache_bytes)
            is_announced = False
            while (job := self._inbox.next_job()) is not None:
                match job:
                    case Show():
                        standing.show(job)
                        if not is_announced:
                            is_announced = True
                            self._announce(reader)
                    case Play():
                        runner.run(job)
                    case Leave():
                        return job
                    case _:
                        raise AssertionError("a case is left before another is opened")
        return None

    def _announce(self, reader: CaseReader) -> None:
        """Say what the case is; a first part that cannot be read is told when it is shown."""
        size, is_interlaced = (0, 0), False
        for part in range(reader.n_parts):
            number = reader.number_at(reader.clock.start_of(part))
            try:
                size = reader.key_frame(number).frame.shown_size
                is_interlaced = reader.is_interlaced(number)
            except UserFacingError:
                continue
            break
        self.send(Opened(reader.n_frames, reader.clock.duration_us, size, is_interlaced))
