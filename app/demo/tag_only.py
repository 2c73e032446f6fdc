"""Invented cases that are known by their tags alone: three operators over months.

The scenario is invented; it stands for nobody's operations. The same operator and case number
always give the same case.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, field

from annotate.case import Eye
from annotate.tags import Leaning, TagKind
from annotate.vocabulary_file import shipped_vocabulary
from app.demo.learning_curve import (
    EVENT_RATES,
    NUCLEUS,
    NUCLEUS_SHARES,
    TEAR_RISK,
    Learner,
    falling,
    fewer,
    learnt,
    phase_s,
)
from app.demo.moment import Moment

_US_PER_MS = 1000
_SEED = 2
_LONG_GAP_S = 6.0
_TURNS = {"crack": "sculpt", "fragments": "chop"}
"""Which phase a phase may take turns with."""


@dataclass(frozen=True, slots=True)
class TagOnlyCase:
    """A case without clips, and what its reviewer tagged; times in microseconds."""

    learner: Learner
    number: int
    vocabulary: str
    eye: Eye
    attributes: dict[str, str]
    length_us: int
    moments: tuple[Moment, ...]


@dataclass(slots=True)
class _Making:
    """A case as it is put together; `now_s` is how far its clock has come."""

    learner: Learner
    number: int
    rng: random.Random
    now_s: float = 0.0
    spans: list[tuple[TagKind, str, float, float]] = field(default_factory=list)

    def spread(self, sigma: float) -> float:
        """A factor around 1."""
        return self.rng.lognormvariate(0.0, sigma)

    def phase(self, code: str, length_s: float) -> None:
        """Let a phase pass."""
        end_s = self.now_s + max(length_s, 3.0)
        self.spans.append((TagKind.PHASE, code, self.now_s, end_s))
        self.now_s = end_s

    def idle(self, code: str, length_s: float) -> None:
        """Let time pass with a reason."""
        self.spans.append((TagKind.IDLE, code, self.now_s, self.now_s + length_s))
        self.now_s += length_s

    def during(self, codes: tuple[str, ...]) -> list[tuple[float, float]]:
        """Spans of the phases with these codes."""
        return [
            (start_s, end_s)
            for kind, code, start_s, end_s in self.spans
            if kind is TagKind.PHASE and code in codes
        ]


def make_case(learner: Learner, number: int) -> TagOnlyCase:
    """Make up one case."""
    making = _Making(learner, number, random.Random(f"{_SEED} {learner.code} {number}"))
    rng = making.rng
    attributes = _case_mix(rng)
    vocabulary = learner.vocabulary(number)
    making.now_s = rng.uniform(4.0, 15.0)
    for code, length_s in _lengths(making, vocabulary, attributes):
        if making.spans:
            _pause(making)
        making.phase(code, length_s)
    moments = [_moment(*span) for span in making.spans]
    moments += _events(making, vocabulary)
    moments += _hand_over(making)
    length_s = making.now_s + rng.uniform(3.0, 12.0)
    return TagOnlyCase(
        learner=learner,
        number=number,
        vocabulary=vocabulary,
        eye=rng.choice((Eye.OD, Eye.OS)),
        attributes=attributes,
        length_us=_us(length_s),
        moments=tuple(sorted(moments, key=lambda m: (m.start_us, m.kind, m.code))),
    )


def _case_mix(rng: random.Random) -> dict[str, str]:
    return {
        "density": str(rng.choices((1, 2, 3, 4), weights=(2, 5, 4, 1))[0]),
        "small-pupil": rng.choices(("yes", "no"), weights=(1, 6))[0],
        "dye": rng.choices(("yes", "no"), weights=(1, 5))[0],
    }


def _lengths(
    making: _Making, vocabulary: str, attributes: dict[str, str]
) -> list[tuple[str, float]]:
    """Phases in order with their lengths, seconds; viscoelastic comes again before the lens."""
    day = making.spread(0.05)
    density = 0.82 + 0.08 * int(attributes["density"])
    pupil = 1.1 if attributes["small-pupil"] == "yes" else 1.0
    shares = NUCLEUS_SHARES[vocabulary]
    found: list[tuple[str, float]] = []
    for code in shipped_vocabulary(vocabulary).phase_codes:
        if code == "lens":
            found.append(("viscoelastic", _length(making, "viscoelastic", day)))
        if code in shares:
            length_s = _length(making, NUCLEUS, day) * shares[code] * density * pupil
        else:
            length_s = _length(making, code, day) * (pupil if code == "capsulorhexis" else 1.0)
        if code == "polish" and making.rng.random() < 0.25:
            continue  # not every case needs it
        found.append((code, length_s))
    return _by_turns(found, making)


def _length(making: _Making, code: str, day: float) -> float:
    return phase_s(code, making.number, making.learner.level) * day * making.spread(0.13)


def _by_turns(phases: list[tuple[str, float]], making: _Making) -> list[tuple[str, float]]:
    """Let a beginner go back: sculpt and crack by turns, or chop and remove by turns."""
    found: list[tuple[str, float]] = []
    for code, length_s in phases:
        goes_back = making.rng.random() < 0.1 + 0.6 * learnt(making.number)
        if found and found[-1][0] == _TURNS.get(code) and goes_back:
            before, before_s = found.pop()
            again_s = before_s * making.rng.uniform(0.2, 0.35)
            first_s = length_s * making.rng.uniform(0.35, 0.65)
            found += [(before, before_s - again_s), (code, first_s), (before, again_s)]
            length_s -= first_s
        found.append((code, length_s))
    return found


def _pause(making: _Making) -> None:
    """The time between two phases: a moment, or longer for a reason."""
    rng = making.rng
    making.now_s += rng.uniform(0.3, 2.0)
    likely = falling(0.7, 0.2, making.number)
    if rng.random() < likely:
        length_s = _LONG_GAP_S * falling(1.6, 0.9, making.number) * making.spread(0.4)
        reason = rng.choices(("exchange", "wait", "talk", "view-lost"), weights=(6, 3, 3, 1))[0]
        making.idle(reason, length_s)
    elif rng.random() < 0.3:
        making.now_s += rng.uniform(1.0, _LONG_GAP_S)  # nobody said why


def _events(making: _Making, vocabulary: str) -> list[Moment]:
    terms = {term.code: term for term in shipped_vocabulary(vocabulary).events}
    found = []
    for code, (first, last, phases) in EVENT_RATES.items():
        spans = making.during(phases)
        if code in terms and spans:
            times = _times(making, fewer(first, last, making.number), spans)
            found += [_event(making, code, at_s, terms[code].weight) for at_s in times]
    praise = 2.5 - 2.0 * learnt(making.number)
    for at_s in _times(making, praise, making.during(("capsulorhexis", "fragments", "lens"))):
        found.append(_event(making, "good-move", at_s, 1, Leaning.COMMEND))
    if making.rng.random() < fewer(*TEAR_RISK, making.number):
        found += _tear(making)
    return found


def _tear(making: _Making) -> list[Moment]:
    """A capsule tear, and now and then that it was well recovered."""
    start_s, end_s = making.rng.choice(making.during(("fragments", "cortex")))
    at_s = start_s + 0.6 * (end_s - start_s)
    found = [_event(making, "capsule-tear", at_s, 3)]
    if making.rng.random() < 0.5:
        after_s = at_s + 0.3 * (end_s - at_s)
        found.append(_event(making, "well-recovered", after_s, 2, Leaning.COMMEND))
    return found


def _times(making: _Making, mean: float, spans: list[tuple[float, float]]) -> list[float]:
    """Random moments within spans, seconds; their number has the Poisson spread around `mean`."""
    total_s = sum(end_s - start_s for start_s, end_s in spans)
    found = []
    for _ in range(_poisson(making.rng, mean)):
        left_s = making.rng.uniform(0.0, total_s)
        for start_s, end_s in spans:
            if left_s <= end_s - start_s:
                found.append(start_s + left_s)
                break
            left_s -= end_s - start_s
    return found


def _poisson(rng: random.Random, mean: float) -> int:
    """A Poisson number by counting exponential waits."""
    n, waited = 0, rng.expovariate(1.0)
    while waited < mean:
        n += 1
        waited += rng.expovariate(1.0)
    return n


def _event(
    making: _Making, code: str, at_s: float, weight: int, leaning: Leaning = Leaning.CORRECT
) -> Moment:
    has_span = code in ("eye-off-centre", "needle-on-wound", "tip-unseen")
    end_us = _us(at_s + making.rng.uniform(0.8, 3.0)) if has_span else None
    heavier = min(weight + (making.rng.random() < 0.2), 3)
    return Moment(TagKind.EVENT, code, _us(at_s), end_us, leaning, heavier)


def _hand_over(making: _Making) -> list[Moment]:
    """Early on, the attending now and then does part of the lens."""
    if making.learner.level.value != "resident" or making.number > 10:
        return []
    if making.rng.random() >= 0.45:
        return []
    start_s, end_s = making.during(("fragments",))[0]
    from_s = start_s + (end_s - start_s) * making.rng.uniform(0.2, 0.4)
    to_s = from_s + (end_s - from_s) * making.rng.uniform(0.4, 0.7)
    return [Moment(TagKind.HAND_OVER, "attending", _us(from_s), _us(to_s))]


def _moment(kind: TagKind, code: str, start_s: float, end_s: float) -> Moment:
    return Moment(kind, code, _us(start_s), _us(end_s))


def _us(time_s: float) -> int:
    """Microseconds, to the whole millisecond: nobody tags more finely."""
    return math.floor(time_s * 1000 + 0.5) * _US_PER_MS
