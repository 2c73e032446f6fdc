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
    SPOTLIGHT = "spotlight"


class MarkLook(StrEnum):
    """Colour and dash of a mark; the two go together, so that colour never stands alone."""

    CHALK = "chalk"
    AMBER = "amber"
    SKY = "sky"
    ROSE = "rose"


Anchor = tuple[int, tuple[Point, ...]]
"""Case time, and where a hand put a mark's points at it."""


@dataclass(frozen=True, slots=True)
class Mark:
    """Something drawn on the picture for a span.

    Attributes
    ----------
    points : tuple of (x, y)
        In parts of the upright picture's width and height, 0 to 1, so that any size shows the
        same. An arrow runs from tail to head; a ring and a spotlight are centre and a point on
        the rim; a text stands at its point.
    look : MarkLook
        Colour with its dash.
    is_fading : bool
        Whether it comes and goes by degrees at the ends of its span.
    is_following : bool
        Whether it goes with the tissue that it was drawn on; see `annotate.mark_motion`.
    anchors : tuple of Anchor
        In order of time: where a hand put the points of a following mark anew. It was drawn, with
        `points`, at `start_us`.
    """

    id: RowId
    session_id: SessionId
    kind: MarkKind
    start_us: int
    end_us: int
    points: tuple[Point, ...]
    text: str = ""
    look: MarkLook = MarkLook.CHALK
    is_fading: bool = False
    is_following: bool = False
    anchors: tuple[Anchor, ...] = ()

    def __post_init__(self) -> None:
        check_span(self.start_us, self.end_us)
        if not self.points:
            raise ValueError("a mark needs a point")
        if any(len(points) != len(self.points) for _, points in self.anchors):
            raise ValueError("an anchor has a place for each point of its mark")


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
    """Machine values noted over a span; None where not noted.

    Attributes
    ----------
    mode : str
        As the machine calls it: sculpt, chop, irrigation and aspiration.
    power_percent, torsional_percent : float
        Mean longitudinal power and mean torsional amplitude, per cent of their greatest.
    duty_cycle_percent : float
        Share of the time in which pulsed power is on.
    bottle_cm, pressure_mmhg : float
        Height of the bottle, or the pressure asked for in the eye.
    energy_s : float
        For how long ultrasound was on in the span, seconds, where it was read off the machine.
    machine : str
        Make of machine; energies of different makes are never compared.
    """

    id: RowId
    session_id: SessionId
    start_us: int
    end_us: int
    mode: str = ""
    vacuum_mmhg: float | None = None
    flow_cc_min: float | None = None
    power_percent: float | None = None
    duty_cycle_percent: float | None = None
    torsional_percent: float | None = None
    bottle_cm: float | None = None
    pressure_mmhg: float | None = None
    energy_s: float | None = None
    machine: str = ""

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
