"""Levenshtein distance and segment edit score against values from outside."""

from __future__ import annotations

from itertools import groupby

import pytest

from metrics.sequence import levenshtein, segment_edit_score


@pytest.mark.parametrize(
    ("first", "second", "distance"),
    [("kitten", "sitting", 3), ("saturday", "sunday", 3), ("flaw", "lawn", 2), ("", "abc", 3)],
)
def test_textbook_words(first: str, second: str, distance: int) -> None:
    """Words of every textbook on the algorithm of Wagner and Fischer (1974); from memory."""
    assert levenshtein(first, second) == distance


def segments(frames: str) -> list[str]:
    return [label for label, _ in groupby(frames)]


@pytest.mark.parametrize(
    ("predicted", "score"),
    [
        ("AAAAAABBBACCCCCBCCCC", 50.0),
        ("AAAABBBBBBCCCCCCCCCC", 100.0),
        ("AAAAABBCBBCCCCCCCCCC", 60.0),
    ],
)
def test_segment_edit_score_of_worked_frames(predicted: str, score: float) -> None:
    """Score by the definition of Lea et al. (CVPR 2017), from memory, worked out by hand.

    The first has segments A B A C B C against A B C: three deletions of six, 1 - 3/6.
    """
    truth = "AAAAABBBBBCCCCCCCCCC"
    assert segment_edit_score(segments(predicted), segments(truth)) == pytest.approx(score)
