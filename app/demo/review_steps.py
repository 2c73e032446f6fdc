"""A demo review as it would have been made: edit by edit, with words and times of their own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from annotate.marks import Mark, Setting
from annotate.markup import Row
from annotate.tags import Comment, Tag, TagKind
from annotate.vocabulary import Vocabulary
from app.review.wording import deed_words

_PER_TAG_S, _PER_COMMENT_S = 9.0, 48.0
"""Invented: about how long a reviewer is at a tag, and at a comment with its mark."""


@dataclass(frozen=True, slots=True)
class Step:
    """One edit: what it was, the rows it put in, and how long before the last one it was made."""

    kind: str
    rows: tuple[Row, ...]
    ago_s: float


def review_steps(rows: Iterable[Row], vocabulary: Vocabulary) -> tuple[Step, ...]:
    """One step for each row, in order of their times in the case; a mark goes with its comment."""
    made = list(rows)
    marks = {row.id: row for row in made if isinstance(row, Mark)}
    groups: list[tuple[Row, ...]] = []
    for row in sorted(made, key=lambda r: (_start_us(r), isinstance(r, Comment))):
        if isinstance(row, Comment) and row.mark_id in marks:
            groups.append((marks.pop(row.mark_id), row))
        elif not isinstance(row, Mark):
            groups.append((row,))
    groups += [(mark,) for mark in marks.values()]
    return tuple(
        Step(_kind(group[-1], vocabulary), group, ago_s)
        for group, ago_s in zip(groups, _agos_s(groups), strict=True)
    )


def _start_us(row: Row) -> int:
    return int(getattr(row, "start_us", 0))


def _kind(row: Row, vocabulary: Vocabulary) -> str:
    """In the words that the desk has for such an edit."""
    deed = {Comment: "written at", Mark: "drawn at"}.get(type(row), "tagged at")
    is_span = isinstance(row, Setting) or (isinstance(row, Tag) and row.kind is TagKind.PHASE)
    return deed_words("begun at" if is_span else deed, row, _start_us(row), vocabulary)


def _agos_s(groups: Sequence[tuple[Row, ...]]) -> list[float]:
    """How long before the last step each was made; longer after what is longer to write."""
    agos_s, passed_s = [0.0], 0.0
    for group in groups[:0:-1]:
        passed_s += _PER_COMMENT_S if isinstance(group[-1], Comment) else _PER_TAG_S
        agos_s.append(passed_s)
    return agos_s[: len(groups)][::-1]
