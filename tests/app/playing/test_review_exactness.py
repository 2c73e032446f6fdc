"""What Review shows, through the decoder's process and shared memory, is the frame asked for.

For every kind of clip: by number, by time, and step by step. The pixels say which frame it is.
"""

from __future__ import annotations

import random

import pytest
from clip_kinds import KINDS
from feed_scenes import Seen, Watcher, case_of, watched
from kinds_made import KindsMade
from pytestqt.qtbot import QtBot

WAIT_MS = 60_000
EVERY_KIND = pytest.mark.parametrize("kind", sorted(KINDS))


def ask(watcher: Watcher, qtbot: QtBot, number: int) -> Seen:
    n_before = len(watcher.seen)
    watcher.feed.show_number(number)
    qtbot.waitUntil(
        lambda: len(watcher.seen) > n_before and watcher.seen[-1].number == number, timeout=WAIT_MS
    )
    return watcher.seen[-1]


def seek_and_walk(kind: str, made: KindsMade, qtbot: QtBot, n_seeks: int, n_walks: int) -> None:
    (path, shown), chance = made(kind), random.Random(kind)
    with watched(case_of([path])) as watcher:
        qtbot.waitUntil(lambda: watcher.is_open, timeout=WAIT_MS)
        feed = watcher.feed
        last = len(shown) - 1
        for _ in range(n_seeks):
            number = chance.randint(0, last)
            seen = ask(watcher, qtbot, number)
            assert (seen.number, seen.read) == (number, shown[number])
            assert seen.time_us == feed.time_of(number)
            number = feed.number_at(chance.randint(0, feed.facts.length_us if feed.facts else 0))
            assert ask(watcher, qtbot, number).read == shown[number]
        for _ in range(n_walks):
            number, by = chance.randint(0, last), chance.choice([1, -1])
            for _ in range(chance.randint(2, 8)):
                assert ask(watcher, qtbot, number).read == shown[number]
                number = min(max(number + by, 0), last)
    assert not watcher.troubles


@EVERY_KIND
def test_review_shows_exactly_the_frame(kind: str, made: KindsMade, qtbot: QtBot) -> None:
    seek_and_walk(kind, made, qtbot, n_seeks=6, n_walks=3)


@pytest.mark.soak
@EVERY_KIND
def test_review_shows_exactly_the_frame_at_length(kind: str, made: KindsMade, qtbot: QtBot) -> None:
    seek_and_walk(kind, made, qtbot, n_seeks=300, n_walks=200)
