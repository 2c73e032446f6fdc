"""Marks on the picture, measurements and scores, settings: the rest of a session's content."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from annotate.ids import ClipId, RowId, SessionId
from annotate.tags import check_span

Point = tuple[float, float]


class MarkKind(StrEnum):
    """What is drawn."""

    ARROW = "arrow"
    RING = "ring"
    LINE = "line"
    FREEHAND = "freehand"
    TEXT = "text"


@dataclass(frozen=True, slots=True)
class Mark:
    """Something drawn on the picture for a span.

    Attributes
    ----------
    points : tuple of (x, y)
        In parts of the picture's width and height, 0 to 1, so that any size shows the same.
        An arrow runs from tail to head; a ring is centre and a point on its rim; a text stands
        at its point.
    """

    id: RowId
    session_id: SessionId
    kind: MarkKind
    start_us: int
    end_us: int
    points: tuple[Point, ...]
    text: str = ""

    def __post_init__(self) -> None:
        check_span(self.start_us, self.end_us)
        if not self.points:
            raise ValueError("a mark needs a point")


@dataclass(frozen=True, slots=True)
class Calibration:
    """Millimetres a pixel, from something of known length in the picture."""

    id: RowId
    session_id: SessionId
    clip_id: ClipId
    start_us: int
    end_us: int
    reference: str
    plane: str
    length_mm: float
    u_length_mm: float
    points: tuple[Point, ...]
    mm_per_px: float
    u_mm_per_px: float


@dataclass(frozen=True, slots=True)
class Measurement:
    """A length, diameter, angle or offset taken in the picture."""

    id: RowId
    session_id: SessionId
    kind: str
    at_us: int
    points: tuple[Point, ...]
    value: float
    u_value: float
    unit: str
    how: str
    calibration_id: RowId | None = None


@dataclass(frozen=True, slots=True)
class Score:
    """One answer on a rubric; `value` is None where `state` says why there is none."""

    id: RowId
    session_id: SessionId
    rubric: str
    rubric_version: str
    item: str
    state: str
    value: int | None = None
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Setting:
    """Machine values noted over a span; None where not noted."""

    id: RowId
    session_id: SessionId
    start_us: int
    end_us: int
    mode: str = ""
    vacuum_mmhg: float | None = None
    flow_cc_min: float | None = None
    power_percent: float | None = None
    duty_cycle_percent: float | None = None

    def __post_init__(self) -> None:
        check_span(self.start_us, self.end_us)


@dataclass(frozen=True, slots=True)
class Track:
    """Derived rows over a clip's frames; may be deleted and made again at any time."""

    id: RowId
    clip_id: ClipId
    kind: str
    algorithm: str
    version: str
    fingerprint: str
    content: bytes
