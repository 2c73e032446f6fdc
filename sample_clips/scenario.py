"""What happens in an invented case, as data: phases, idle time, events, moments of bad view.

The cases are invented. They stand for nobody's operation, are shown shortened in time, and every
number in them was chosen to give the reader of a clip something to find.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal


@dataclass(frozen=True, slots=True)
class Span:
    """Something with a code that lasts."""

    code: str
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Happening:
    """An event: an instant (no end) or a short span."""

    code: str
    start_s: float
    end_s: float | None
    leaning: Literal["commend", "correct", "neutral"]
    weight: int
    note: str


@dataclass(frozen=True, slots=True)
class Excursion:
    """A sudden move of the eye away from its place and back."""

    start_s: float
    hold_s: float
    angle_deg: float
    peak_limbus_radii: float


@dataclass(frozen=True, slots=True)
class Level:
    """A quantity from 0 to 1 (glare, loss of focus, cover) that rises for a while."""

    start_s: float
    end_s: float
    peak: float


@dataclass(frozen=True, slots=True)
class Skill:
    """How the operator's hands move.

    Attributes
    ----------
    tremor_mm, drift_mm : float
        Size of the tip's tremor; of the eye's slow drift.
    grasps : int
        Grasps of the flap for one capsule opening.
    stroke_s : float
        Time of one sculpting stroke.
    lateral : float
        How far from the incision's middle the needle usually lies (1 is an edge).
    """

    tremor_mm: float
    drift_mm: float
    grasps: int
    stroke_s: float
    lateral: float


@dataclass(frozen=True, slots=True)
class Scenario:
    """One invented case."""

    name: str
    operator: str
    level: str
    case_number: int
    vocabulary: str
    seed: int
    length_s: float
    skill: Skill
    phases: tuple[Span, ...]
    idle: tuple[Span, ...] = ()
    events: tuple[Happening, ...] = ()
    excursions: tuple[Excursion, ...] = ()
    zooms: tuple[tuple[float, float], ...] = ((0.0, 1.0),)
    glare: tuple[Level, ...] = ()
    defocus: tuple[Level, ...] = ()
    covers: tuple[Level, ...] = ()
    primary_px: tuple[float, float] = (0.0, 0.0)
    eye: str = "OD"
    iris: str = "hazel"
    density: float = 0.85
    is_dyed: bool = False
    opening_mm: tuple[float, float] = (5.3, 5.1)
    opening_offset_mm: tuple[float, float] = (0.1, -0.1)
    is_variable_rate: bool = False
    is_model: bool = False
    parts: tuple[tuple[float, float], ...] = field(default=())

    def windows(self) -> tuple[tuple[float, float], ...]:
        """Start and end of each part on the case's clock, seconds."""
        return self.parts or ((0.0, self.length_s),)

    def stem(self, part: int) -> str:
        """Name of a part's files without their endings."""
        return f"{self.name}-part{part}" if len(self.windows()) > 1 else self.name

    def within(self, code: str, start_s: float, end_s: float) -> list[Happening]:
        """Events of one code that begin within a span."""
        return [e for e in self.events if e.code == code and start_s <= e.start_s < end_s]


def spans(text: str) -> tuple[Span, ...]:
    """Spans from a compact line such as ``incision 1-8, viscoelastic 8.6-12``."""
    found = []
    for item in text.split(","):
        code, times = item.split()
        start, _, end = times.partition("-")
        found.append(Span(code, float(start), float(end)))
    return tuple(found)
