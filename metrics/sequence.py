"""Sequences of phases: how far one order is from another."""

from __future__ import annotations

from collections.abc import Hashable, Sequence


def levenshtein(first: Sequence[Hashable], second: Sequence[Hashable]) -> int:
    """Count the fewest insertions, deletions and substitutions that turn one sequence into another.

    Each of the three costs 1.

    Parameters
    ----------
    first, second : sequence of hashable
        Letters of a word, or codes of phases.

    Returns
    -------
    int
        0 where they are alike; at most the length of the longer.

    References
    ----------
    Levenshtein VI (1966), Binary codes capable of correcting deletions, insertions, and reversals,
    Soviet Physics Doklady 10(8):707-710. Wagner RA, Fischer MJ (1974), The string-to-string
    correction problem, Journal of the ACM 21(1):168-173 (both from memory).
    """
    row = list(range(len(second) + 1))
    for i, a in enumerate(first, start=1):
        above_left, row[0] = row[0], i
        for j, b in enumerate(second, start=1):
            cheapest = min(above_left + (a != b), row[j] + 1, row[j - 1] + 1)
            above_left, row[j] = row[j], cheapest
    return row[-1]


def segment_edit_score(first: Sequence[Hashable], second: Sequence[Hashable]) -> float:
    """Score how alike two sequences of segments are, 0 to 100.

    One minus the Levenshtein distance over the length of the longer, times 100; 100 where both
    are empty. Says nothing about the length of a segment.

    References
    ----------
    Lea C, Flynn MD, Vidal R, Reiter A, Hager GD (2017), Temporal convolutional networks for action
    segmentation and detection, CVPR (from memory).
    """
    longer = max(len(first), len(second))
    return 100.0 if longer == 0 else 100.0 * (1 - levenshtein(first, second) / longer)
