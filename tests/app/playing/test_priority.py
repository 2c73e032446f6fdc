"""What is made ahead gives way to what is being shown."""

from __future__ import annotations

import os
import sys
import threading

import pytest

from app.playing.priority import give_way


def niceness() -> int:
    return os.getpriority(os.PRIO_PROCESS, threading.get_native_id())


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="threads' own priorities")
def test_a_thread_that_gives_way_and_those_it_starts_are_nicer_than_the_rest() -> None:
    seen: dict[str, int] = {}

    def give_way_and_start_another() -> None:
        give_way()
        seen["own"] = niceness()
        another = threading.Thread(target=lambda: seen.__setitem__("started", niceness()))
        another.start()
        another.join()

    before = niceness()
    thread = threading.Thread(target=give_way_and_start_another)
    thread.start()
    thread.join()
    assert seen["own"] == seen["started"] > before
    assert niceness() == before


def test_giving_way_never_fails() -> None:
    failed: list[BaseException] = []

    def give_way_or_note() -> None:
        try:
            give_way()
        except OSError as error:
            failed.append(error)

    thread = threading.Thread(target=give_way_or_note)
    thread.start()
    thread.join()
    assert not failed
