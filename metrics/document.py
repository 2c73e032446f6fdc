"""The figures as one JSON document: what `figures --json` prints, less case and reviewer."""

from __future__ import annotations

from typing import Any

from metrics.figures import (
    Conflict,
    EventFigures,
    IdleFigures,
    OrderFigures,
    PhaseFigures,
    SessionFigures,
    Transition,
)


def figures_document(figures: SessionFigures) -> dict[str, Any]:
    """Write figures as plain values, times in seconds.

    Returns
    -------
    dict
        Keys ``observed_s``, ``phases``, ``idle``, ``transitions``, ``order``, ``events``,
        ``conflicts`` and ``operator_only``; the last is None, or the same keys without the
        hand-over spans, its own ``operator_only`` being None.
    """
    alone = figures.operator_only
    return {
        "observed_s": _seconds(figures.observed_us),
        "phases": [_phase(phase) for phase in figures.phases],
        "idle": _idle(figures.idle),
        "transitions": [_transition(transition) for transition in figures.transitions],
        "order": _order(figures.order),
        "events": _events(figures.events),
        "conflicts": [_conflict(conflict) for conflict in figures.conflicts],
        "operator_only": None if alone is None else figures_document(alone),
    }


def _phase(phase: PhaseFigures) -> dict[str, Any]:
    return {
        "code": phase.code,
        "label": phase.label,
        "visits": len(phase.visit_us),
        "visit_s": [_seconds(visit) for visit in phase.visit_us],
        "total_s": _seconds(phase.total_us),
        "active_s": _seconds(phase.active_us),
        "share": phase.share,
        "first_start_s": _seconds(phase.first_start_us),
        "last_end_s": _seconds(phase.last_end_us),
    }


def _idle(idle: IdleFigures) -> dict[str, Any]:
    at_us = idle.longest_at_us
    return {
        "total_s": _seconds(idle.total_us),
        "share": idle.share,
        "untagged_s": _seconds(idle.untagged_us),
        "tagged_s": _seconds(idle.tagged_us),
        "by_reason": {code: _seconds(time) for code, time in idle.by_reason.items()},
        "longest_s": _seconds(idle.longest_us),
        "longest_at_s": None if at_us is None else _seconds(at_us),
    }


def _transition(transition: Transition) -> dict[str, Any]:
    return {"from": transition.before, "to": transition.after, "count": transition.count}


def _order(order: OrderFigures) -> dict[str, Any]:
    return {
        "observed": list(order.observed),
        "distance": order.distance,
        "missing": list(order.missing),
        "repeated": list(order.repeated),
        "out_of_order": list(order.out_of_order),
    }


def _events(events: EventFigures) -> dict[str, Any]:
    return {
        "total": events.total,
        "by_code": dict(events.by_code),
        "by_leaning": dict(events.by_leaning),
        "by_weight": {str(weight): count for weight, count in events.by_weight.items()},
        "per_minute": events.per_minute,
    }


def _conflict(conflict: Conflict) -> dict[str, Any]:
    return {
        "first": conflict.first,
        "second": conflict.second,
        "start_s": _seconds(conflict.start_us),
        "end_s": _seconds(conflict.end_us),
    }


def _seconds(time_us: int) -> float:
    return time_us / 1_000_000
