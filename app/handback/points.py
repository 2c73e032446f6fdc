"""What to commend and what to correct: the weightiest moments first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from annotate.tags import Leaning
from app.handback.comments import WEIGHT_WORDS, NoteComment
from app.handback.wording import shorten

MOST_POINTS = 5


@dataclass(frozen=True, slots=True)
class NotePoint:
    """One thing to commend or to correct.

    Attributes
    ----------
    text : str
        In a line or two; the moment itself has the whole text.
    weight : int
        1 to 3, the highest of its moments.
    numbers, times_us : tuple of int
        Its moments: their numbers in the note, and when they start.
    """

    text: str
    weight: int
    numbers: tuple[int, ...]
    times_us: tuple[int, ...]

    @property
    def weight_words(self) -> str:
        """How much it weighs, in words."""
        return WEIGHT_WORDS[self.weight]


@dataclass(frozen=True, slots=True)
class NotePoints:
    """The weightiest points, and how many more stand among the comments."""

    points: tuple[NotePoint, ...] = ()
    n_more: int = 0


def points_of(
    comments: Sequence[NoteComment], leaning: Leaning, most: int = MOST_POINTS
) -> NotePoints:
    """Choose the points of one leaning, weight first, then time.

    Events of one kind without words of their own are one point that names each time.
    """
    groups: dict[str, list[NoteComment]] = {}
    for comment in comments:
        if comment.leaning is leaning:
            speaks_for_itself = comment.event and not comment.text
            key = comment.event if speaks_for_itself else f"#{comment.number}"
            groups.setdefault(key, []).append(comment)
    points = sorted(map(_point, groups.values()), key=lambda p: (-p.weight, p.times_us[0]))
    return NotePoints(tuple(points[:most]), max(len(points) - most, 0))


def _point(group: Sequence[NoteComment]) -> NotePoint:
    first = group[0]
    words = f"{first.event}: {first.text}" if first.event and first.text else ""
    return NotePoint(
        text=shorten(words or first.event or first.text),
        weight=max(comment.weight or 1 for comment in group),
        numbers=tuple(comment.number for comment in group),
        times_us=tuple(comment.start_us for comment in group),
    )
