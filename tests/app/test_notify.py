"""Listeners are told in order; what is gathered is told once, at the end."""

from __future__ import annotations

import pytest

from app.notify import Notifier


def test_listeners_are_told_in_order_until_they_are_forgotten() -> None:
    notifier: Notifier[[int]] = Notifier()
    told: list[tuple[str, int]] = []

    def first(n: int) -> None:
        told.append(("first", n))

    notifier.listen(first)
    notifier.listen(lambda n: told.append(("second", n)))
    notifier.tell(1)
    notifier.forget(first)
    notifier.tell(2)
    assert told == [("first", 1), ("second", 1), ("second", 2)]


def test_what_is_gathered_is_told_once_and_last() -> None:
    notifier: Notifier[[int]] = Notifier()
    told: list[int] = []
    notifier.listen(told.append)
    with notifier.gathered():
        notifier.tell(1)
        with notifier.gathered():
            notifier.tell(2)
        assert told == []
    assert told == [2]
    with notifier.gathered():
        pass
    assert told == [2]


def test_what_was_told_before_a_fault_is_told_all_the_same() -> None:
    notifier: Notifier[[int]] = Notifier()
    told: list[int] = []
    notifier.listen(told.append)

    def tell_and_fail() -> None:
        with notifier.gathered():
            notifier.tell(1)
            raise KeyError

    with pytest.raises(KeyError):
        tell_and_fail()
    assert told == [1]
