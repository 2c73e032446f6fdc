"""The figures of a session, from its tags.

Let P be the union of the phase spans, D the union of the idle-reason spans, and
O = [first phase's start, last phase's end). Observed time is the length of O. A phase's total is
the length of the union of its spans; its active time is that less D. Idle is O minus (P minus D),
in two parts: tagged, which lies in D, and untagged, which lies outside P and D. Where no phases
overlap, the active times and idle add up to O to the microsecond; where they do, each phase keeps
the time of its own spans and the overlap is a conflict, and is counted once in observed and idle.

Where H, the union of the hand-over spans, is not empty, the same figures are given once more for
the operator alone: H is taken out of O, P, D and every visit, and an event that begins in H is
not the operator's.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

from annotate.tags import Leaning, Tag, TagKind
from annotate.vocabulary import Vocabulary
from metrics.figures import (
    Conflict,
    EventFigures,
    IdleFigures,
    OrderFigures,
    PhaseFigures,
    SessionFigures,
    Transition,
)
from metrics.intervals import Spans, holds, intersect, longest, measure, subtract, union
from metrics.sequence import levenshtein

US_PER_MINUTE = 60_000_000


@dataclass(frozen=True, slots=True)
class _Visit:
    """One stretch in one phase; more than one piece where a hand-over was cut out of it."""

    code: str
    pieces: Spans


@dataclass(frozen=True, slots=True)
class _Content:
    """What the figures are made of, as spans; `without` makes the operator's own part of it."""

    visits: tuple[_Visit, ...]
    observed: Spans
    idle: tuple[tuple[str, Spans], ...]
    events: tuple[Tag, ...]
    conflicts: tuple[tuple[str, str, Spans], ...]

    def without(self, others: Spans) -> _Content:
        visits = (_Visit(v.code, subtract(v.pieces, others)) for v in self.visits)
        return _Content(
            visits=_in_order(v for v in visits if v.pieces),
            observed=subtract(self.observed, others),
            idle=tuple((code, subtract(spans, others)) for code, spans in self.idle),
            events=tuple(e for e in self.events if not holds(others, e.start_us)),
            conflicts=tuple((a, b, subtract(spans, others)) for a, b, spans in self.conflicts),
        )


def figures(tags: Iterable[Tag], vocabulary: Vocabulary) -> SessionFigures:
    """Compute the figures of a session; the module says what each one is.

    Parameters
    ----------
    tags : iterable of Tag
        In any order. Codes that the vocabulary does not know are kept, behind those that it does.
    vocabulary : Vocabulary
        Gives labels, the expected order, and the leaning and weight of an event that has none.

    Returns
    -------
    SessionFigures
        `operator_only` is None where no hand-over is tagged.
    """
    kept = list(tags)
    content = _content(kept, vocabulary)
    others = _spans(tag for tag in kept if tag.kind is TagKind.HAND_OVER)
    whole = _computed(content, vocabulary)
    if not others:
        return whole
    return replace(whole, operator_only=_computed(content.without(others), vocabulary))


def _content(tags: Sequence[Tag], vocabulary: Vocabulary) -> _Content:
    phases = _by_code(tags, TagKind.PHASE, vocabulary.phase_codes)
    idle = _by_code(tags, TagKind.IDLE, tuple(r.code for r in vocabulary.idle_reasons))
    everything = union(span for _, spans in phases for span in spans)
    observed: Spans = ((everything[0][0], everything[-1][1]),) if everything else ()
    return _Content(
        visits=_in_order(_Visit(code, (span,)) for code, spans in phases for span in spans),
        observed=observed,
        idle=tuple((code, intersect(spans, observed)) for code, spans in idle),
        events=tuple(tag for tag in tags if tag.kind is TagKind.EVENT),
        conflicts=tuple(
            (first, second, intersect(a, b)) for (first, a), (second, b) in combinations(phases, 2)
        ),
    )


def _by_code(tags: Iterable[Tag], kind: TagKind, known: tuple[str, ...]) -> list[tuple[str, Spans]]:
    """Union of each code's spans; known codes first, in their order, then others by name."""
    tags_of: dict[str, list[Tag]] = {}
    for tag in tags:
        if tag.kind is kind:
            tags_of.setdefault(tag.code, []).append(tag)
    ranks = {code: rank for rank, code in enumerate(known)}
    codes = sorted(tags_of, key=lambda code: (ranks.get(code, len(ranks)), code))
    return [(code, _spans(tags_of[code])) for code in codes]


def _spans(tags: Iterable[Tag]) -> Spans:
    return union((tag.start_us, tag.end_us) for tag in tags if tag.end_us is not None)


def _in_order(visits: Iterable[_Visit]) -> tuple[_Visit, ...]:
    """Sort by start, then by end; visits alike in both keep the vocabulary's order."""
    return tuple(sorted(visits, key=lambda v: (v.pieces[0][0], v.pieces[-1][1])))


def _computed(content: _Content, vocabulary: Vocabulary) -> SessionFigures:
    observed_us = measure(content.observed)
    return SessionFigures(
        observed_us=observed_us,
        phases=_phases(content, vocabulary),
        idle=_idle(content),
        transitions=_transitions(content.visits),
        order=_order(content.visits, vocabulary.phase_codes),
        events=_events(content.events, vocabulary, observed_us),
        conflicts=_conflicts(content),
    )


def _phases(content: _Content, vocabulary: Vocabulary) -> tuple[PhaseFigures, ...]:
    visits_of: dict[str, list[_Visit]] = {}
    for visit in content.visits:
        visits_of.setdefault(visit.code, []).append(visit)
    paused = _paused(content)
    observed_us = measure(content.observed)
    known = vocabulary.phase_codes
    codes = [c for c in known if c in visits_of] + sorted(c for c in visits_of if c not in known)
    return tuple(
        _phase(vocabulary.label(code), visits_of[code], paused, observed_us) for code in codes
    )


def _phase(label: str, visits: list[_Visit], paused: Spans, observed_us: int) -> PhaseFigures:
    spans = union(piece for visit in visits for piece in visit.pieces)
    total_us = measure(spans)
    return PhaseFigures(
        code=visits[0].code,
        label=label,
        visit_us=tuple(measure(visit.pieces) for visit in visits),
        total_us=total_us,
        active_us=measure(subtract(spans, paused)),
        share=_share(total_us, observed_us),
        first_start_us=spans[0][0],
        last_end_us=spans[-1][1],
    )


def _idle(content: _Content) -> IdleFigures:
    paused = _paused(content)
    worked = union(piece for visit in content.visits for piece in visit.pieces)
    idle = subtract(content.observed, subtract(worked, paused))
    tagged_us = measure(intersect(content.observed, paused))
    total_us = measure(idle)
    stretch = longest(idle)
    return IdleFigures(
        total_us=total_us,
        share=_share(total_us, measure(content.observed)),
        untagged_us=total_us - tagged_us,
        tagged_us=tagged_us,
        by_reason={code: measure(spans) for code, spans in content.idle if spans},
        longest_us=stretch[1] - stretch[0] if stretch else 0,
        longest_at_us=stretch[0] if stretch else None,
    )


def _paused(content: _Content) -> Spans:
    return union(span for _, spans in content.idle for span in spans)


def _transitions(visits: Sequence[_Visit]) -> tuple[Transition, ...]:
    """Count each pair of visits that follow one another, in order of first occurrence."""
    counted = Counter((before.code, after.code) for before, after in pairwise(visits))
    return tuple(Transition(before, after, n) for (before, after), n in counted.items())


def _order(visits: Sequence[_Visit], expected: tuple[str, ...]) -> OrderFigures:
    observed = tuple(visit.code for visit in visits)
    counted = Counter(observed)
    return OrderFigures(
        observed=observed,
        distance=levenshtein(observed, expected),
        missing=tuple(code for code in expected if code not in counted),
        repeated=tuple(code for code, n in counted.items() if n > 1),
        out_of_order=_out_of_order(observed, expected),
    )


def _out_of_order(observed: Sequence[str], expected: Sequence[str]) -> tuple[str, ...]:
    ranks = {code: rank for rank, code in enumerate(expected)}
    late: list[str] = []
    furthest = -1
    for code in dict.fromkeys(observed):
        rank = ranks.get(code)
        if rank is None:
            continue
        if rank < furthest:
            late.append(code)
        furthest = max(furthest, rank)
    return tuple(late)


def _events(events: Sequence[Tag], vocabulary: Vocabulary, observed_us: int) -> EventFigures:
    """Count events; one that says no leaning or weight has its term's."""
    terms = {term.code: term for term in vocabulary.events}
    by_code = Counter(event.code for event in events)
    leanings: Counter[Leaning] = Counter()
    weights: Counter[int] = Counter()
    for event in events:
        term = terms.get(event.code)
        leanings[event.leaning or (term.leaning if term else Leaning.NEUTRAL)] += 1
        weights[event.weight or (term.weight if term else 1)] += 1
    known = [code for code in terms if code in by_code]
    codes = known + sorted(code for code in by_code if code not in terms)
    return EventFigures(
        total=len(events),
        by_code={code: by_code[code] for code in codes},
        by_leaning={leaning.value: leanings[leaning] for leaning in Leaning if leanings[leaning]},
        by_weight={weight: weights[weight] for weight in sorted(weights)},
        per_minute=len(events) * US_PER_MINUTE / observed_us if observed_us else None,
    )


def _conflicts(content: _Content) -> tuple[Conflict, ...]:
    found = (
        Conflict(first, second, start, end)
        for first, second, spans in content.conflicts
        for start, end in spans
    )
    return tuple(sorted(found, key=lambda c: (c.start_us, c.end_us, c.first, c.second)))


def _share(part_us: int, whole_us: int) -> float:
    return part_us / whole_us if whole_us else 0.0
