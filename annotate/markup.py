"""All that one session says of its case, as one immutable value."""

from __future__ import annotations

from bisect import insort
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from typing import Any

from annotate.ids import RowId
from annotate.marks import Calibration, Mark, Measurement, Score, Setting
from annotate.tags import Comment, Tag

Row = Tag | Comment | Mark | Calibration | Measurement | Score | Setting
"""Anything a reviewer enters and the store keeps one row of."""


@dataclass(frozen=True, slots=True)
class Markup:
    """A session's content; every tuple is in order of start, then of id."""

    tags: tuple[Tag, ...] = ()
    comments: tuple[Comment, ...] = ()
    marks: tuple[Mark, ...] = ()
    calibrations: tuple[Calibration, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    scores: tuple[Score, ...] = ()
    settings: tuple[Setting, ...] = ()

    def with_rows(self, put: Iterable[Row], dropped: Collection[RowId]) -> Markup:
        """The same after an edit: rows put in their places, others gone.

        Only the tuples that hold such a row are made anew.
        """
        fresh: dict[str, list[Row]] = {}
        for row in put:
            fresh.setdefault(_NAMES[type(row)], []).append(row)
        changed: dict[str, Any] = {}
        for name in dict.fromkeys(_NAMES.values()):
            rows: tuple[Row, ...] = getattr(self, name)
            new = fresh.get(name, [])
            gone = {*dropped, *(row.id for row in new)}
            left = [row for row in rows if row.id not in gone] if gone else list(rows)
            if not new and len(left) == len(rows):
                continue
            for row in new:
                insort(left, row, key=place_of)
            changed[name] = tuple(left)
        return replace(self, **changed) if changed else self


def place_of(row: Row) -> tuple[int, str]:
    """Order of start, then of id; scores have no time and stand in order of id."""
    at_us = getattr(row, "start_us", getattr(row, "at_us", 0))
    return at_us, row.id


_NAMES: dict[type[Row], str] = {
    Tag: "tags",
    Comment: "comments",
    Mark: "marks",
    Calibration: "calibrations",
    Measurement: "measurements",
    Score: "scores",
    Setting: "settings",
}
