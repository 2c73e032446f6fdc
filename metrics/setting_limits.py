"""Where machine values lie beyond what a procedure's vocabulary keeps them within.

A limit belongs to a phase. It is breached in the time that a span of machine values and a visit of
that phase share, if the value noted there lies below `at_least` or above `at_most`; a value on a
bound keeps it. What was not noted breaches nothing. Whose word a limit is, its source says; it is a
word to think about, not a verdict.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from annotate.ids import RowId
from annotate.marks import Setting
from annotate.setting_values import BY_CODE
from annotate.tags import Tag, TagKind
from annotate.vocabulary import PhaseTerm, SettingLimit, Vocabulary
from metrics.intervals import Span, Spans, intersect, union


@dataclass(frozen=True, slots=True, order=True)
class Breach:
    """A stretch in which a value lies beyond a limit of the phase at hand.

    Attributes
    ----------
    start_us, end_us : int
        Case time, microseconds; within one visit of the phase.
    setting : str
        Which value, as the vocabulary calls it.
    bound : float
        The limit that it lies beyond, in `unit`.
    is_above : bool
        Whether it lies above `bound`; below otherwise.
    source : str
        On whose word the limit stands.
    row_id : RowId
        The span of machine values.
    """

    start_us: int
    end_us: int
    phase: str
    setting: str
    value: float
    unit: str
    bound: float
    is_above: bool
    source: str
    row_id: RowId

    @property
    def key(self) -> tuple[object, ...]:
        """What stays the same while edges move: which values, which limit, which value."""
        return self.row_id, self.phase, self.setting, self.value, self.bound, self.is_above


def breaches(
    settings: Iterable[Setting], tags: Iterable[Tag], vocabulary: Vocabulary
) -> tuple[Breach, ...]:
    """Every breach of a session, in order of time.

    A limit on a value that the desk does not keep, or in another unit than it is kept in, is not
    checked.
    """
    return breaches_in(settings, limited_visits(tags, vocabulary), vocabulary)


def limited_visits(tags: Iterable[Tag], vocabulary: Vocabulary) -> Mapping[str, Spans]:
    """Visits of the phases that have limits, by code; what `breaches_in` looks in."""
    spans: dict[str, list[Span]] = {phase.code: [] for phase in vocabulary.phases if phase.limits}
    for tag in tags:
        if tag.kind is TagKind.PHASE and tag.end_us is not None and tag.code in spans:
            spans[tag.code].append((tag.start_us, tag.end_us))
    return {code: union(found) for code, found in spans.items() if found}


def breaches_in(
    settings: Iterable[Setting], visits: Mapping[str, Spans], vocabulary: Vocabulary
) -> tuple[Breach, ...]:
    """Every breach within visits that `limited_visits` found, in order of time."""
    kept = list(settings)
    found: list[Breach] = []
    for phase in vocabulary.phases:
        spans = visits.get(phase.code, ())
        for setting in kept if spans else ():
            for start_us, end_us in intersect(((setting.start_us, setting.end_us),), spans):
                found += _in_span(setting, phase, start_us, end_us)
    return tuple(sorted(found))


def _in_span(setting: Setting, phase: PhaseTerm, start_us: int, end_us: int) -> list[Breach]:
    found = []
    for limit in phase.limits:
        kind = BY_CODE.get(limit.setting)
        value = kind.of(setting) if kind is not None and kind.unit == limit.unit else None
        bound = None if value is None else _passed(value, limit)
        if value is not None and bound is not None:
            found.append(
                Breach(
                    start_us=start_us,
                    end_us=end_us,
                    phase=phase.code,
                    setting=limit.setting,
                    value=value,
                    unit=limit.unit,
                    bound=bound,
                    is_above=value > bound,
                    source=limit.source,
                    row_id=setting.id,
                )
            )
    return found


def _passed(value: float, limit: SettingLimit) -> float | None:
    """The bound that a value lies beyond; None where it keeps the limit."""
    if limit.at_most is not None and value > limit.at_most:
        return limit.at_most
    if limit.at_least is not None and value < limit.at_least:
        return limit.at_least
    return None
