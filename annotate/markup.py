"""All that one session says of its case, as one immutable value."""

from __future__ import annotations

from dataclasses import dataclass

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
