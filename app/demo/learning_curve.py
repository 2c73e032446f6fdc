"""How long the invented operators need, and how often things go wrong, by case number.

Every number was chosen for the demo; none is a result of anything. Lengths lie within the ranges in
which departments plan, for residents and for fluent surgeons: common practice, no source. A phase
gets shorter with the case number n as ``plateau + (first - plateau) * n ** -RATE``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from annotate.people import TrainingLevel

RATE = 0.35
EVENT_RATE = 0.5
"""Mistakes become fewer sooner than cases become shorter."""
NUCLEUS = "nucleus"
"""Stands for the phases that divide and remove the lens; `NUCLEUS_SHARES` parts its time."""


@dataclass(frozen=True, slots=True)
class Range:
    """Length of a phase, seconds: in a first case, of a practised resident, of a fluent surgeon."""

    first_s: float
    resident_s: float
    fluent_s: float


RANGES: Mapping[str, Range] = {
    "incision": Range(115, 60, 30),
    "viscoelastic": Range(38, 20, 15),
    "capsulorhexis": Range(290, 125, 50),
    "hydrodissection": Range(85, 42, 25),
    NUCLEUS: Range(780, 370, 230),
    "cortex": Range(320, 180, 110),
    "polish": Range(60, 30, 25),
    "lens": Range(160, 65, 55),
    "viscoelastic-removal": Range(110, 62, 50),
    "closure": Range(150, 65, 35),
}
NUCLEUS_SHARES: Mapping[str, Mapping[str, float]] = {
    "phaco-divide-conquer": {"sculpt": 0.40, "crack": 0.15, "fragments": 0.45},
    "phaco-stop-chop": {"sculpt": 0.24, "crack": 0.12, "chop": 0.21, "fragments": 0.43},
    "phaco-chop": {"chop": 0.42, "fragments": 0.58},
}


@dataclass(frozen=True, slots=True)
class Learner:
    """An invented operator.

    Attributes
    ----------
    numbers : tuple of int
        Case numbers of the tag-only cases; the gaps are cases that nobody recorded.
    vocabularies : tuple of (int, str)
        From which case number on which vocabulary fits the operator's way of working.
    """

    code: str
    level: TrainingLevel
    numbers: tuple[int, ...]
    vocabularies: tuple[tuple[int, str], ...]

    def vocabulary(self, number: int) -> str:
        """Name of the vocabulary of a case."""
        return [name for start, name in self.vocabularies if start <= number][-1]


LEARNERS = (
    Learner(
        "R-07",
        TrainingLevel.RESIDENT,
        (1, 2, 4, 5, 7, 9, 11, 14, 16, 19, 21, 24, 26, 29, 31, 33, 36, 38, 40),
        ((1, "phaco-divide-conquer"),),
    ),
    Learner(
        "R-03",
        TrainingLevel.RESIDENT,
        (1, 3, 4, 6, 8, 10, 13, 15, 17, 19),
        ((1, "phaco-divide-conquer"), (10, "phaco-stop-chop")),
    ),
    Learner(
        "R-11",
        TrainingLevel.FELLOW,
        (120, 126, 133, 141, 148, 157, 163, 172, 180, 188, 199),
        ((1, "phaco-stop-chop"), (140, "phaco-chop")),
    ),
)

EVENT_RATES: Mapping[str, tuple[float, float, tuple[str, ...]]] = {
    "eye-off-centre": (5.0, 0.6, ("incision", "capsulorhexis", "sculpt", "chop", "cortex")),
    "needle-on-wound": (3.4, 0.3, ("sculpt", "chop", "fragments")),
    "chop-incomplete": (2.0, 0.3, ("chop",)),
    "crack-incomplete": (2.6, 0.3, ("crack",)),
    "vacuum-lost": (2.2, 0.5, ("fragments", "chop")),
    "chamber-shallow": (1.6, 0.2, ("fragments", "cortex")),
    "iris-touch": (1.2, 0.15, ("fragments", "cortex")),
    "tip-unseen": (1.6, 0.2, ("cortex", "fragments")),
    "wound-distorted": (1.5, 0.2, ("sculpt", "lens")),
    "out-of-focus": (1.4, 0.2, ("capsulorhexis", "hydrodissection")),
    "rhexis-astray": (0.5, 0.03, ("capsulorhexis",)),
}
"""Events a case at case number 1, what they fall towards, and the phases in which they happen."""
TEAR_RISK = (0.30, 0.015)
"""Chance of a capsule tear in a first case, and what it falls towards."""


def phase_s(code: str, number: int, level: TrainingLevel) -> float:
    """Typical length of a phase at a case number, seconds."""
    span = RANGES[code]
    plateau_s = span.resident_s if level is TrainingLevel.RESIDENT else span.fluent_s
    return plateau_s + (span.first_s - plateau_s) * learnt(number)


def learnt(number: int) -> float:
    """What is left of a beginner's excess at a case number: 1 at the first, falling towards 0."""
    return float(number**-RATE)


def falling(first: float, last: float, number: int) -> float:
    """A figure that falls from `first` at case number 1 towards `last`, as lengths do."""
    return last + (first - last) * learnt(number)


def fewer(first: float, last: float, number: int) -> float:
    """Events a case that fall from `first` at case number 1 towards `last`."""
    return last + (first - last) * float(number**-EVENT_RATE)
