"""How the lens is taken out: grooved, split or chopped, and eaten piece by piece."""

from __future__ import annotations

import math

import numpy as np

from sample_clips.geometry import PORTS, Array
from sample_clips.keyframes import Keys
from sample_clips.plan import Plan, Run
from sample_clips.scenario import Span

OUT = PORTS["main"].outward
ACROSS = PORTS["main"].tangent
SIDE = PORTS["side"].outward
REST_GAP = 0.06


def _needle(plan: Plan, span: Span) -> Run:
    """Needle that lies where the operator holds it, and aside where the case says so."""
    run = plan.run("phaco")
    run.lateral = Keys.constant(plan.scenario.skill.lateral)
    for event in plan.scenario.within("needle-on-wound", span.start_s, span.end_s):
        end = event.end_s if event.end_s is not None else event.start_s + 1.5
        run.lateral.bump(event.start_s - 0.2, end + 0.2, 0.86, ramp_s=0.4)
    return run


def sculpt(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """Strokes that deepen a groove; the lens is turned, and the second groove follows."""
    run = _needle(plan, span).enter(span.start_s, *(OUT * 1.8), took_s=1.1)
    visits = [p for p in plan.scenario.phases if p.code == "sculpt"]
    todo = 1 if plan.scenario.vocabulary != "phaco-divide-conquer" else 2
    mine = [0, 1][plan.sculpted : todo] if span is visits[-1] else [plan.sculpted]
    start, end = span.start_s + 1.1, span.end_s - 0.9
    each = (end - start - 1.6 * (len(mine) - 1)) / max(len(mine), 1)
    for k, groove in enumerate(mine):
        begin = start + k * (each + 1.6)
        if groove == 1:
            _turn_lens(plan, run, begin - 1.5 if k else begin, begin if k else begin + 1.5, -90.0)
            begin = begin if k else begin + 1.5
        _strokes(plan, run, groove, begin, start + k * (each + 1.6) + each, rng)
    plan.sculpted += len(mine)
    run.leave(span.end_s)


def _strokes(
    plan: Plan, run: Run, groove: int, begin: float, end: float, rng: np.random.Generator
) -> None:
    """Slow away from the incision, quick back; each stroke goes a little further and deeper."""
    count = max(2, round((end - begin) / plan.scenario.skill.stroke_s))
    each = (end - begin) / count
    keys = plan.grooves[groove]
    keys.hold(begin)
    for k in range(count):
        at, share = begin + k * each, (k + 1) / count
        aside = 0.10 * float(rng.standard_normal())
        far = 1.9 - 3.9 * min(1.0, 0.45 + 0.6 * share)
        run.to(at + 0.22 * each, *(OUT * 1.9 + ACROSS * aside))
        run.to(at + 0.86 * each, *(OUT * far + ACROSS * aside * 0.6))
        reach = min(1.0, 0.42 + 0.63 * share)
        keys.hold(at + 0.3 * each).add(at + 0.86 * each, max(reach, keys.last[0]), share)
    keys.add(end, 1.0, 1.0)


def _turn_lens(plan: Plan, run: Run, start: float, end: float, by_deg: float) -> None:
    """Turn the lens with the tip, in two pushes."""
    middle = (start + end) / 2
    now = plan.lens_turn.last[0]
    sign = math.copysign(1.0, by_deg)
    plan.lens_turn.hold(start + 0.15)
    for k, at in enumerate((start, middle)):
        run.to(at + 0.25, *(OUT * 0.9 - ACROSS * 1.3 * sign))
        run.to(at + (middle - start) * 0.95, *(OUT * 0.9 + ACROSS * 1.2 * sign))
        plan.lens_turn.hold(at + 0.25)
        plan.lens_turn.add(at + (middle - start) * 0.95, now + by_deg * (k + 1) / 2)


def crack(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """Two instruments in the groove push the halves apart; turned, the other groove too."""
    needle = _needle(plan, span).enter(span.start_s, *(OUT * 0.4 + ACROSS * 0.1))
    hook = plan.run("hook", "side").enter(span.start_s + 0.2, *(-OUT * 0.5 - ACROSS * 0.1))
    is_cross = plan.scenario.vocabulary == "phaco-divide-conquer"
    failed = plan.scenario.within("crack-incomplete", span.start_s, span.end_s)
    jobs = [("second", 1.0), ("first", 1.0)] if is_cross else [("first", 1.0)]
    if failed:
        jobs.insert(0, (jobs[0][0], 0.45))
    start, end = span.start_s + 1.2, span.end_s - 0.9
    turn_s = 1.5 if is_cross else 0.0
    each = (end - start - turn_s) / len(jobs)
    at = start
    for k, (which, share) in enumerate(jobs):
        if is_cross and k == len(jobs) - 1:
            _turn_lens(plan, needle, at, at + turn_s, 90.0)
            hook.stay(at + turn_s)
            at += turn_s
        _spread(plan, which, share, (needle, hook), at, at + each)
        at += each
    needle.leave(span.end_s)
    hook.leave(span.end_s - 0.1)


def _spread(
    plan: Plan, which: str, share: float, pair: tuple[Run, Run], start: float, end: float
) -> None:
    """One try at a crack; with a small share it falls shut again."""
    needle, hook = pair
    needle.to(start + 0.3, *(OUT * 0.4 + ACROSS * 0.12))
    hook.to(start + 0.3, *(-OUT * 0.5 - ACROSS * 0.12))
    middle = start + 0.6 * (end - start)
    reach = 0.12 + 0.40 * share
    needle.to(middle, *(OUT * 0.4 + ACROSS * reach))
    hook.to(middle, *(-OUT * 0.5 - ACROSS * reach))
    rest = REST_GAP if share > 0.9 else 0.0
    keys = [plan.gaps[0]] if which == "first" else [plan.gaps[1], plan.gaps[2]]
    for gap in keys:
        gap.hold(start + 0.3).add(middle, 0.34 * share).hold(middle + 0.1).add(end, rest)
    needle.to(end, *(OUT * 0.5 + ACROSS * 0.15))
    hook.to(end, *(-OUT * 0.5 - ACROSS * 0.2))


def chop(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """Each half is held on the needle and parted by the hook."""
    needle = _needle(plan, span).enter(span.start_s, *(OUT * 0.6))
    hook = plan.run("hook", "side").enter(span.start_s + 0.15, *(-OUT * 0.4 + SIDE))
    start, end = span.start_s + 1.1, span.end_s - 0.9
    tries = [1, 2]
    if plan.scenario.within("chop-incomplete", span.start_s, span.end_s):
        tries = [1, 1, 2]
    each = (end - start) / len(tries)
    for k, half in enumerate(tries):
        at = start + k * each
        fails = k == 0 and len(tries) == 3
        turn = math.radians(plan.lens_turn.last[0] + (90.0 if half == 1 else -90.0))
        bite = 1.2 * np.array([math.cos(turn), math.sin(turn)])
        needle.to(at + 0.35 * each, *(bite * 0.75 + OUT * 0.3))
        hook.to(at + 0.35 * each, *(bite * 1.7))
        hook.to(at + 0.62 * each, *(bite * 0.9 - OUT * 0.3))
        share = 0.4 if fails else 1.0
        peak, rest = 0.30 * share, 0.0 if fails else REST_GAP
        plan.gaps[half].hold(at + 0.45 * each).add(at + 0.7 * each, peak)
        plan.gaps[half].add(at + 0.95 * each, rest)
        needle.to(at + 0.7 * each, *(bite * 0.75 + OUT * (0.3 + 0.3 * share)))
        hook.to(at + 0.75 * each, *(bite * 0.8 - OUT * (0.3 + 0.6 * share)))
        needle.stay(at + each)
        hook.stay(at + each)
    needle.leave(span.end_s)
    hook.leave(span.end_s - 0.1)


def fragments(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """Quarter after quarter is caught, drawn to the middle and eaten."""
    visits = [
        p for p in plan.scenario.phases if p.code == "fragments" and p.start_s >= span.start_s
    ]
    count = math.ceil((4 - plan.eaten) / len(visits))
    needle = _needle(plan, span).enter(span.start_s, *(OUT * 0.9), took_s=1.0)
    hook = plan.run("hook", "side").enter(span.start_s + 0.2, *(SIDE * 1.6))
    start, end = span.start_s + 1.1, span.end_s - 0.9
    each = (end - start) / count
    for k in range(count):
        _eat(
            plan, (3, 1, 2, 0)[plan.eaten], (needle, hook), start + k * each, start + (k + 1) * each
        )
        plan.eaten += 1
    for event in plan.scenario.within("chamber-shallow", span.start_s, span.end_s):
        stop = event.end_s if event.end_s is not None else event.start_s + 0.9
        plan.swell.bump(event.start_s, stop, 1.05, ramp_s=0.25)
        plan.flick.bump(event.start_s, stop, -0.22, ramp_s=0.25)
    needle.leave(span.end_s)
    hook.leave(span.end_s - 0.15)


def _eat(plan: Plan, index: int, pair: tuple[Run, Run], start: float, end: float) -> None:
    """Catch one quarter, lose it if the case says so, draw it in and let it shrink away."""
    needle, hook = pair
    length = end - start
    place = plan.quarter_place(index, start)
    catch, middle = place * 0.72, OUT * 0.35
    needle.to(start + 0.2 * length, *catch)
    hook.to(start + 0.25 * length, *(place * 0.9 + SIDE * 0.6))
    piece = plan.pieces[index].hold(start + 0.22 * length)
    at = start + 0.24 * length
    lost = plan.scenario.within("vacuum-lost", start, end)
    if lost:
        at = _lose(piece, needle, catch, middle, lost[0].start_s)
    way = middle - catch
    needle.stay(at).to(at + 0.22 * (end - at), *middle)
    piece.hold(at).add(at + 0.22 * (end - at), *way, 25.0, 0.95, 1.0)
    eaten = end - 0.08 * length
    bites = 4
    first = at + 0.22 * (end - at)
    for k in range(1, bites + 1):
        when = first + (eaten - first) * k / bites
        size = 0.95 - 0.72 * k / bites
        wiggle = 0.09 * (-1) ** k
        needle.to(when, *(middle + ACROSS * wiggle))
        pull = way - 0.25 * (1 - size) * (place / (np.linalg.norm(place) + 1e-9))
        alpha = 1.0 if k < bites else 0.0
        piece.add(when, *(pull + ACROSS * wiggle), 25.0 + 28.0 * k, size, alpha)
    hook.to(eaten, *(SIDE * 1.4))


def _lose(piece: Keys, needle: Run, catch: Array, middle: Array, when: float) -> float:
    """Let a half-drawn piece spring back at `when`; return when it has been caught again."""
    half = (middle - catch) * 0.55
    begin = max(piece.times[-1], when - 0.55)
    needle.stay(begin).to(when, *(catch + half))
    piece.hold(begin).add(when, *half, 10.0, 1.0, 1.0)
    piece.add(when + 0.28, 0.0, 0.0, -12.0, 1.0, 1.0)
    needle.stay(when + 0.4).to(when + 0.75, *catch)
    piece.hold(when + 0.8)
    return when + 0.85
