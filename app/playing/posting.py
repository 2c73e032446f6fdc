"""Pictures on their way to the desk: brought into their framing, put into a slot, announced."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from annotate.clip import CaseFrame, CaseReader
from annotate.clip.showing import Framing
from app.playing.answers import FromDecoder, Picture
from app.playing.inbox import Inbox
from app.playing.messages import ShowAs

Send = Callable[[FromDecoder], None]


class Poster:
    """Posts the frames of one case."""

    def __init__(self, reader: CaseReader, inbox: Inbox, send: Send) -> None:
        self._reader = reader
        self._inbox = inbox
        self._send = send

    def post(
        self,
        found: CaseFrame,
        epoch: int,
        asked: int,
        *,
        due_s: float = 0.0,
        is_near: bool = False,
        field: int | None = None,
    ) -> bool:
        """Post a frame; False if something newer is wished for meanwhile.

        A near one is posted although the pointer has moved on: it will be moving on all the time.
        """
        inbox = self._inbox
        taken = inbox.free_slot(partial(inbox.is_passed_by if is_near else inbox.is_stale, epoch))
        if taken is None:
            return False
        slots, slot = taken
        framing = framed_for(self._inbox.show_as, found.frame.shown_size)
        if framing.width * framing.height * 4 > slots.slot_bytes:  # the desk is about to give more
            framing = _within(framing, slots.slot_bytes)
        view = slots.view(slot, framing.width, framing.height)
        found.frame.framed(framing, self._inbox.show_as.tone, into=view)
        self._send(
            Picture(
                epoch=inbox.epoch if is_near else epoch,
                memory=slots.name,
                slot=slot,
                size=(framing.width, framing.height),
                number=found.number,
                time_us=found.time_us,
                until_us=self._until(found.number),
                framing=framing,
                picture_size=found.frame.shown_size,
                asked=asked,
                due_s=due_s,
                is_near=is_near,
                is_stand_in=found.frame.is_stand_in,
                field=field,
            )
        )
        return True

    def _until(self, number: int) -> int:
        if number + 1 >= self._reader.n_frames:
            return self._reader.clock.duration_us
        return self._reader.time_of(number + 1)


def framed_for(wanted: ShowAs, size: tuple[int, int]) -> Framing:
    """The framing for a picture of a size: as wanted where it was made for that, else fitted."""
    framing = wanted.framing
    is_made = wanted.made_for == size and min(framing.width, framing.height) >= 1
    if is_made:
        return framing
    width, height = size[::-1] if framing.turn_deg in {90, 270} else size
    left_width, left_height = framing.region[2] * width, framing.region[3] * height
    room = wanted.room if min(wanted.room) >= 2 else (width, height)
    scale = min(room[0] / left_width, room[1] / left_height)
    return replace(
        framing,
        width=max(round(left_width * scale), 1),
        height=max(round(left_height * scale), 1),
    )


def _within(framing: Framing, n_bytes: int) -> Framing:
    scale = (n_bytes / (framing.width * framing.height * 4)) ** 0.5
    width, height = int(framing.width * scale), int(framing.height * scale)
    return replace(framing, width=max(width, 1), height=max(height, 1))
