"""Progress, time left, cancelling."""

from __future__ import annotations

import pytest

from app.cli.shared import bar
from app.jobs.work import Cancelled, Work


class Clock:
    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def test_time_left_is_told_from_the_rate_so_far() -> None:
    clock = Clock()
    work = Work("Reading", clock=clock)
    clock.now = 10.0
    work.advance(0.25)
    assert work.left_s == pytest.approx(30.0)


def test_nothing_is_said_of_the_time_left_before_it_can_be_known() -> None:
    work = Work("Reading", clock=Clock())
    assert work.share is None
    assert work.left_s is None
    assert bar(work) == "Reading ..."


def test_a_share_never_exceeds_the_whole() -> None:
    work = Work()
    work.advance(7, 5)
    assert work.share == 1.0


def test_cancelled_work_stops_at_its_next_word() -> None:
    work = Work()
    work.cancel.set()
    with pytest.raises(Cancelled):
        work.advance(0.5)
