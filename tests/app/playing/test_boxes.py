"""Boxes, schedule, slots and framings between a decoder and the screen."""

from __future__ import annotations

import multiprocessing
import threading
import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clip.showing import Framing
from app.playing.answers import Picture
from app.playing.boxes import Mailbox, Outbox
from app.playing.inbox import Inbox
from app.playing.messages import Free, Leave, Open, Play, Show, ShowAs, TakeStill, UseMemory
from app.playing.posting import framed_for
from app.playing.schedule import Memories, Schedule
from app.playing.shown import Shown
from app.playing.slots import Slots


def picture(epoch: int, number: int, due_s: float) -> Picture:
    return Picture(
        epoch, "m", 0, (4, 4), number, number * 10, number * 10 + 10, Framing(4, 4), (4, 4),
        number, due_s,
    )  # fmt: skip


def test_the_newest_wish_takes_the_place_of_those_before() -> None:
    woken, wake = multiprocessing.Pipe(duplex=False)
    box = Outbox(wake)
    box.add(ShowAs())
    box.wish(Show(1, 5))
    box.add(TakeStill(1, 3))
    box.wish(Play(2, 5, 1.0))
    assert box.empty() == [ShowAs(), TakeStill(1, 3), Play(2, 5, 1.0)]
    assert not box
    assert woken.poll()


def test_a_mailbox_gives_back_the_memory_of_what_it_replaces() -> None:
    box = Mailbox()
    shown = [Shown(np.zeros((2, 2, 4), np.uint8), n, 0, 1) for n in range(4)]
    frees = [Free("m", n) for n in range(4)]
    assert box.put(shown[0], frees[0]) is None
    assert box.put(shown[1], frees[1]) == frees[0]  # nobody took the first
    assert box.take() == (shown[1], None)
    assert box.take() == (None, None)
    assert box.put(shown[2], frees[2]) is None
    assert box.take() == (shown[2], frees[1])  # what was on the screen is free now
    assert box.memories == {"m"}


def test_what_is_due_comes_and_what_is_not_waits() -> None:
    schedule, now_s = Schedule(), time.perf_counter()
    schedule.add(picture(1, 0, now_s - 1))
    schedule.add(picture(1, 1, now_s + 60))
    assert schedule.next_due(1) is not None
    assert schedule.next_due(1) is None
    left_s = schedule.left_s()
    assert left_s is not None
    assert 50 < left_s < 61
    stale = schedule.next_due(2)  # of an earlier wish: at once, so that its memory is freed
    assert isinstance(stale, Picture)
    assert stale.number == 1
    assert schedule.left_s() is None


def test_old_memory_goes_when_no_picture_lies_in_it() -> None:
    memories = Memories()
    first = memories.fresh(set())
    second = memories.fresh({first.name})
    memories.fresh(set())
    assert memories.find(first.name) is None
    assert memories.find(second.name) is not None
    memories.close()


def test_slots_of_one_memory_are_seen_from_two_sides() -> None:
    own = Slots(640 * 480 * 4, 3)
    other = Slots(own.slot_bytes, 3, own.name)
    view = own.view(2, 640, 480)
    other.view(2, 640, 480)[...] = 77
    assert (view == 77).all()
    assert own.view(1, 10, 10).sum() == 0
    with pytest.raises(ValueError, match="slot"):
        own.view(3, 10, 10)
    with pytest.raises(ValueError, match="fits"):
        own.view(0, 2000, 2000)
    own.close()  # while it is still looked at
    assert (view == 77).all()
    other.close()


def test_a_wish_is_stale_once_there_is_a_newer_one_and_waiting_ends() -> None:
    inbox = Inbox()
    inbox.post(Show(1, 5))
    assert inbox.next_job() == Show(1, 5)
    assert not inbox.is_stale(1)
    teller = threading.Timer(0.05, inbox.post, [Show(2, 6)])
    teller.start()
    assert not inbox.rests(1, 30.0)
    assert inbox.free_slot(lambda: inbox.is_stale(1)) is None
    teller.join()
    assert inbox.next_job() == Show(2, 6)


def test_leaving_a_case_goes_before_any_wish_and_drops_stills() -> None:
    inbox = Inbox()
    for message in (Show(1, 5), TakeStill(1, 2), Leave(), Open((), 0), Show(2, 1)):
        inbox.post(message)
    assert inbox.next_job() == Leave()
    assert inbox.next_job() == Open((), 0)
    assert inbox.next_job() == Show(2, 1)
    assert inbox.next_still(lambda: True) is None
    inbox.close()
    assert inbox.next_job() is None


def test_memory_that_is_gone_before_it_was_seen_is_passed_over() -> None:
    inbox = Inbox()
    inbox.post(UseMemory("psm_not_there", 4, 1 << 16))
    slots = Slots(1 << 16, 4)
    inbox.post(UseMemory(slots.name, 4, slots.slot_bytes))
    inbox.post(Show(1, 0))
    found = inbox.free_slot(lambda: inbox.is_stale(1))
    assert found is not None
    assert found[0].name == slots.name
    inbox.post(Leave())
    slots.close()


@given(
    st.tuples(st.integers(16, 4000), st.integers(16, 4000)),
    st.tuples(st.integers(2, 4000), st.integers(2, 4000)),
    st.sampled_from([0, 90, 180, 270]),
)
def test_a_picture_of_another_shape_is_fitted_into_the_room(
    size: tuple[int, int], room: tuple[int, int], turn: int
) -> None:
    framing = framed_for(ShowAs(Framing(7, 7, turn_deg=turn), room=room, made_for=(1, 1)), size)
    assert framing.width <= room[0] + 1
    assert framing.height <= room[1] + 1
    assert framing.width >= room[0] - 1 or framing.height >= room[1] - 1
    made = framed_for(ShowAs(Framing(7, 9), room=room, made_for=size), size)
    assert (made.width, made.height) == (7, 9)
