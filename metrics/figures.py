"""The figures of one session, as values. `metrics.from_tags` computes them.

All times are case time in microseconds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class PhaseFigures:
    """How one phase was spent.

    Attributes
    ----------
    visit_us : tuple of int
        Length of each visit; a visit is one unbroken stretch of the union of the phase's spans.
    total_us : int
        Their sum.
    active_us : int
        `total_us` less the time in which an idle reason is tagged.
    share : float
        `total_us` over observed time, 0 to 1.
    """

    code: str
    label: str
    visit_us: tuple[int, ...]
    total_us: int
    active_us: int
    share: float
    first_start_us: int
    last_end_us: int


@dataclass(frozen=True, slots=True)
class IdleFigures:
    """Time from first to last phase in which no phase, or a reason for idling, is tagged."""

    total_us: int
    share: float
    untagged_us: int
    tagged_us: int
    by_reason: Mapping[str, int]
    longest_us: int
    longest_at_us: int | None


@dataclass(frozen=True, slots=True)
class Transition:
    """How often one visit was followed by another."""

    before: str
    after: str
    count: int


@dataclass(frozen=True, slots=True)
class OrderFigures:
    """The order of visits against the vocabulary's.

    Attributes
    ----------
    observed : tuple of str
        Phase codes in order of visit.
    distance : int
        Levenshtein distance from `observed` to the vocabulary's phases, each once, in their order.
    missing, repeated, out_of_order : tuple of str
        Phases never visited; visited more than once; first visited after one that should follow.
    """

    observed: tuple[str, ...]
    distance: int
    missing: tuple[str, ...]
    repeated: tuple[str, ...]
    out_of_order: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EventFigures:
    """Events counted; `per_minute` is over observed time, None where that is nothing."""

    total: int
    by_code: Mapping[str, int]
    by_leaning: Mapping[str, int]
    by_weight: Mapping[int, int]
    per_minute: float | None


@dataclass(frozen=True, slots=True)
class Conflict:
    """A stretch in which two different phases are tagged at once."""

    first: str
    second: str
    start_us: int
    end_us: int


@dataclass(frozen=True, slots=True)
class SessionFigures:
    """All figures of one session; `operator_only` leaves hand-overs out, None without any."""

    observed_us: int
    phases: tuple[PhaseFigures, ...]
    idle: IdleFigures
    transitions: tuple[Transition, ...]
    order: OrderFigures
    events: EventFigures
    conflicts: tuple[Conflict, ...] = ()
    operator_only: SessionFigures | None = field(default=None)
