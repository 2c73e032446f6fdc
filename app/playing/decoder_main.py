"""The decoder's process: listens to the desk, decodes one case, posts pictures.

A fault in a codec takes this process with it and nothing else; the desk starts another one.
"""

from __future__ import annotations

import sys
import threading
import traceback
from contextlib import ExitStack
from multiprocessing.connection import Connection

import cv2

from annotate.clip.case_sound import CaseSound
from annotate.clip.lasting import give_back_at_once
from annotate.errors import UserFacingError
from app.playing.answers import Fault, FromDecoder, Left, Pong, Trouble
from app.playing.inbox import Inbox
from app.playing.messages import Leave, Open, Ping, Play, Show, SoundStop, SoundUsed, SoundWish
from app.playing.serving import ServedCase
from app.playing.sound_pump import SoundPump
from app.playing.stills import StillTaker

_SWITCH_S = 0.001
"""How long one thread may keep the interpreter from another: steps are answered in a few ms."""


def serve(connection: Connection) -> None:
    """Serve one desk until it goes away. The process's main function."""
    sys.setswitchinterval(_SWITCH_S)
    cv2.setNumThreads(1)  # its own threads cost more than they bring, beside a decoder's
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
        give_back_at_once()
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
        try:
            case = ServedCase(told, self._inbox, self.send)
        except UserFacingError as trouble:
            self.send(Trouble(0, str(trouble)))
            return None
        with ExitStack() as stack:
            stack.callback(case.close)
            stills = StillTaker(case.parts, self._inbox, self.send, case.set_aside)
            stack.callback(stills.close)
            self._pump = SoundPump(lambda: CaseSound(case.parts), self.send)
            stack.callback(self._pump.close)
            while (job := self._inbox.next_job()) is not None:
                match job:
                    case Show() | Play():
                        case.serve(job)
                    case Leave():
                        return job
                    case _:
                        raise AssertionError("a case is left before another is opened")
        return None
