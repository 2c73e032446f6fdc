"""Pictures for a screen: a decoder in a process of its own, shown on the beat.

Requests replace each other: the newest wins. The feed's thread waits for each picture's moment and
leaves it in a mailbox; a signal without payload says that the mailbox has something. A decoder
that dies is replaced, and goes on where it was.
"""

from __future__ import annotations

import multiprocessing
import threading
from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from annotate.clip.showing import NEUTRAL, Framing, Tone
from annotate.errors import UserFacingError
from app.playing.answers import (
    Began,
    Ended,
    FromDecoder,
    IndexMade,
    Opened,
    Pace,
    Picture,
    Scanning,
    StillTaken,
    Trouble,
)
from app.playing.boxes import Mailbox, Outbox
from app.playing.decoders import decoders
from app.playing.desk_times import DeskTimes, StillsAskedFor
from app.playing.line import DecoderDied, Line
from app.playing.messages import (
    Free,
    Open,
    Play,
    Show,
    ShowAs,
    TakeStill,
    ToDecoder,
    UseMemory,
)
from app.playing.schedule import Memories, Schedule
from app.playing.shown import CaseFacts, CaseToPlay, Shown, Still
from app.playing.sound_messages import FromPump, SoundChunk, SoundEnded, SoundTracks


class PictureFeed(QObject):
    """Decodes for one screen. Make it on the main thread, connect to it, then call `begin`.

    Call `close` before dropping it.

    Parameters
    ----------
    opening : callable
        Finds the case's clips; called on the feed's own thread.
    """

    opened = Signal()
    facts_changed = Signal()
    picture_came = Signal()
    clip_ended = Signal()
    began = Signal()
    pace_changed = Signal()
    still_came = Signal()
    failed = Signal(str)
    told = Signal(str)

    def __init__(self, opening: Callable[[], CaseToPlay], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._opening = opening
        self._epoch = 0
        self._is_closing = False
        self._wake_in, self._wake = multiprocessing.Pipe(duplex=False)
        self._outbox = Outbox(self._wake)
        self._mailbox = Mailbox()
        self._stills = StillsAskedFor()
        self._schedule = Schedule()
        self._memories = Memories()
        self._times: DeskTimes | None = None
        self._line: Line | None = None
        self.n_missed = 0
        """Pictures that were there in time, and that the screen had no time for."""
        self.facts: CaseFacts | None = None
        self.pace: Pace | None = None
        self.beginning: Began | None = None
        self.take_sound: Callable[[FromPump], None] | None = None
        """Takes what comes of sound, on the feed's thread."""
        self.still_came.connect(self._stills.hand_over)
        self._thread = threading.Thread(target=self._run, name="pictures", daemon=True)

    # Called on the main thread

    def begin(self) -> None:
        """Open the case, once whoever listens is connected."""
        self._thread.start()

    def number_at(self, time_us: int) -> int:
        """Number of the frame shown at a case time; 0 until the case is open."""
        times = self._times
        return times.number_at(time_us) if times is not None else 0

    def time_of(self, number: int) -> int:
        """Case time of a frame; 0 until the case is open."""
        times = self._times
        return times.time_of(number) if times is not None else 0

    def show_number(
        self, number: int, field: int | None = None, *, is_passing: bool = False
    ) -> None:
        """Show that frame and stand still; while passing, a near one for a moment."""
        self._wish(lambda epoch: Show(epoch, number, is_passing, field))

    def play(self, number: int, speed: float, loop: tuple[int, int] | None = None) -> None:
        """Run from that frame on, backward at a speed below 0."""
        self._wish(lambda epoch: Play(epoch, number, speed, loop))

    def show_as(
        self,
        framing: Framing,
        tone: Tone = NEUTRAL,
        room: tuple[int, int] = (0, 0),
        made_for: tuple[int, int] = (0, 0),
    ) -> None:
        """Have pictures come in this way from now on."""
        n_bytes = 4 * max(framing.width * framing.height, room[0] * room[1])
        if n_bytes > self._memories.slot_bytes:
            self._memories.slot_bytes = n_bytes
            self._outbox.add(self._fresh_memory())
        self._outbox.add(ShowAs(framing, tone, room, made_for))

    def take_still(
        self, number: int, done: Callable[[Still], object], field: int | None = None
    ) -> None:
        """Have one frame whole and as filmed; `done` is called on the main thread."""
        self.say(TakeStill(self._stills.ask(done), number, field))

    def take(self) -> Shown | None:
        """Empty the mailbox; the picture taken before must not be painted any more."""
        shown, free = self._mailbox.take()
        if free is not None:
            self._outbox.add(free)
        return shown

    def say(self, message: ToDecoder) -> None:
        """Tell the decoder something; any thread may."""
        self._outbox.add(message)

    @property
    def decoder_id(self) -> int | None:
        """Process that decodes just now."""
        return self._line.process_id if self._line is not None else None

    @property
    def n_deaths(self) -> int:
        """How many decoders have died."""
        return self._line.n_deaths if self._line is not None else 0

    def close(self) -> None:
        """Stop the thread and wait for it."""
        self._is_closing = True
        self._outbox.wake()
        if self._thread.ident is not None:
            self._thread.join()
        self._wake.close()
        self._wake_in.close()
        self._memories.close()

    def _wish(self, made: Callable[[int], Show | Play]) -> None:
        self._epoch += 1
        if self.pace is not None:  # of the run before
            self.pace = None
            self.pace_changed.emit()
        self._outbox.wish(made(self._epoch))

    # Called on the feed's thread

    def _run(self) -> None:
        try:
            case = self._opening()
            self._times = DeskTimes(case)
        except UserFacingError as trouble:
            self.failed.emit(str(trouble))
            return
        self._line = Line(self._wake_in, self._renewed)
        try:
            self._line.send(Open(case.parts, case.cache_bytes))
            self._line.send(self._fresh_memory())
            self.facts = self._times.facts(is_interlaced=False)
            self.opened.emit()
            while not self._is_closing:
                self._go_on(self._line)
        finally:
            self._line.close()

    def _go_on(self, line: Line) -> None:
        """Say what is to be said, hear what there is, show what is due."""
        for message in self._outbox.empty():
            if isinstance(message, Show | Play):
                line.start_again()
            line.send(message)
        try:
            message_or_none = line.receive(0.0 if self._outbox else self._schedule.left_s())
        except DecoderDied as died:
            self.failed.emit(str(died))
            return
        if message_or_none is not None:
            self._hear(message_or_none)
        self._show_due(line)

    def _hear(self, message: FromDecoder) -> None:
        assert self._times is not None
        match message:
            case SoundChunk() | SoundTracks() | SoundEnded():
                if self.take_sound is not None:
                    self.take_sound(message)
            case Opened(is_interlaced=is_interlaced):
                self.facts = self._times.facts(is_interlaced=is_interlaced)
                self.facts_changed.emit()
                decoders.warm()  # for the next case, now that this one is on the screen
            case Scanning(part=part, share=share):
                which = f" of part {part + 1}" if self._times.n_parts > 1 else ""
                self.told.emit(f"Finding the frames{which}: {share * 100:.0f}\N{NO-BREAK SPACE}%")
            case IndexMade(part=part, content=content):
                self._times.keep_index(part, content)
            case StillTaken():
                self._stills.answer(message)
                self.still_came.emit()
            case _:
                self._hear_of_wish(message)

    def _hear_of_wish(self, message: FromDecoder) -> None:
        """What belongs to a wish is dropped if there is a newer one."""
        match message:
            case Picture():
                self._schedule.add(message)
            case Ended(epoch=epoch) | Began(epoch=epoch) if epoch == self._epoch:
                self._schedule.add(message)
            case Pace(epoch=epoch) if epoch == self._epoch:
                self.pace = message
                self.pace_changed.emit()
            case Trouble(epoch=epoch, words=words) if epoch in {0, self._epoch}:
                self.failed.emit(words)

    def _show_due(self, line: Line) -> None:
        while (item := self._schedule.next_due(self._epoch)) is not None:
            is_stale = item.epoch != self._epoch
            if isinstance(item, Ended):
                if not is_stale:
                    self.clip_ended.emit()
            elif isinstance(item, Began):
                if not is_stale:
                    self.beginning = item
                    self.began.emit()
            elif is_stale:
                line.send(Free(item.memory, item.slot))
            else:
                line.now_at(item.number)
                self._post(item, line)

    def _post(self, picture: Picture, line: Line) -> None:
        slots = self._memories.find(picture.memory)
        if slots is None:
            return
        pixels = slots.view(picture.slot, *picture.size)
        shown = Shown(
            pixels, picture.number, picture.time_us, picture.until_us, picture.framing,
            picture.picture_size, picture.asked, picture.is_near, picture.is_stand_in,
            picture.field, picture.due_s,
        )  # fmt: skip
        missed = self._mailbox.put(shown, Free(picture.memory, picture.slot))
        if missed is not None:
            self.n_missed += 1
            line.send(missed)
        else:
            self.picture_came.emit()

    def _fresh_memory(self) -> UseMemory:
        return self._memories.fresh(self._mailbox.memories | self._schedule.memories)

    def _renewed(self) -> UseMemory:
        """Memory for a new decoder; what the old one had sent is forgotten."""
        self._schedule.clear()
        return self._fresh_memory()
