"""Ids: unique, in order of making, and the same person the same on every desk."""

from __future__ import annotations

import time
from uuid import UUID

from annotate.ids import new_id, operator_id, reviewer_id


def test_ids_are_version_7_of_the_standard_variant() -> None:
    made = UUID(new_id())
    assert made.version == 7  # RFC 9562, 4.2 and 5.7
    assert made.variant == "specified in RFC 4122"


def test_an_id_carries_the_time_of_its_making() -> None:
    before_ms = time.time_ns() // 1_000_000
    made_ms = UUID(new_id()).int >> 80
    assert before_ms <= made_ms <= time.time_ns() // 1_000_000 + 100  # ahead after a burst of ids


def test_ids_do_not_repeat() -> None:
    assert len({new_id() for _ in range(10_000)}) == 10_000


def test_ids_sort_in_the_order_of_their_making() -> None:
    made = [new_id() for _ in range(20_000)]
    assert made == sorted(made)


def test_a_code_gives_one_id_everywhere_and_the_two_roles_differ() -> None:
    assert operator_id("R-07") == operator_id("R-07") != operator_id("R-08")
    assert operator_id("R-07") != reviewer_id("R-07")
