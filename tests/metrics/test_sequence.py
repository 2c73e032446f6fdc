from __future__ import annotations

from functools import cache

from hypothesis import given
from hypothesis import strategies as st

from metrics.sequence import levenshtein, segment_edit_score

WORD = st.text("abc", max_size=7)


def by_definition(first: str, second: str) -> int:
    @cache
    def distance(i: int, j: int) -> int:
        if i == 0 or j == 0:
            return i + j
        swap = distance(i - 1, j - 1) + (first[i - 1] != second[j - 1])
        return min(swap, distance(i - 1, j) + 1, distance(i, j - 1) + 1)

    return distance(len(first), len(second))


@given(WORD, WORD)
def test_distance_is_what_its_recursive_definition_says(first: str, second: str) -> None:
    assert levenshtein(first, second) == by_definition(first, second)


@given(WORD, WORD, WORD)
def test_distance_is_a_metric(a: str, b: str, c: str) -> None:
    assert levenshtein(a, b) == levenshtein(b, a)
    assert (levenshtein(a, b) == 0) == (a == b)
    assert levenshtein(a, c) <= levenshtein(a, b) + levenshtein(b, c)


def test_nothing_against_nothing_is_alike() -> None:
    assert levenshtein([], []) == 0
    assert segment_edit_score([], []) == 100.0
    assert segment_edit_score(["a"], []) == 0.0
