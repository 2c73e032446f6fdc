"""How the last steps go: cortex, polish, implant, washing out, closing."""

from __future__ import annotations

import numpy as np

from sample_clips.geometry import PORTS
from sample_clips.plan import MAIN_DEG, Plan
from sample_clips.scenario import Span

OUT = PORTS["main"].outward
ACROSS = PORTS["main"].tangent
SIDE = PORTS["side"].outward


def cortex(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """The ring is caught sector by sector and stripped towards the middle."""
    run = plan.run("aspirator").enter(span.start_s, *(-OUT * 1.6), took_s=1.0)
    start, end = span.start_s + 1.1, span.end_s - 1.0
    count = max(3, round((end - start) / 1.25))
    each = (end - start) / count
    run.rail.add(start - 0.1, 0, 0, 0.5)
    touch = plan.scenario.within("iris-touch", span.start_s, span.end_s)
    for k in range(count):
        at = start + k * each
        reach = 0.96
        if touch and at <= touch[0].start_s < at + each:
            reach = 1.2
            plan.flick.bump(at + 0.2 * each, at + each, -0.16, ramp_s=0.2)
        run.rail.add(at + 0.3 * each, 0, 1, reach).add(at + 0.85 * each, 0, 1, 0.38)
        plan.cortex_gone.hold(at + 0.35 * each).add(at + 0.9 * each, 1.03 * (k + 1) / count)
    plan.flecks.hold(start).add(end, 0.4)
    run.to(end, *(OUT * 0.6))
    run.rail.add(end + 0.1, 0, 0, 0.4)
    run.leave(span.end_s)


def polish(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """Small circles over the capsule until the last flecks are gone."""
    run = plan.run("aspirator").enter(span.start_s, *(OUT * 0.5), took_s=0.9)
    start, end = span.start_s + 1.0, span.end_s - 0.9
    count = max(3, round((end - start) / 0.6))
    for k in range(1, count + 1):
        angle = 2.4 * k
        place = (0.7 + 0.25 * (k % 3)) * np.array([np.cos(angle), np.sin(angle)])
        run.to(start + (end - start) * k / count, *place)
    plan.flecks.hold(start).add(end, 0.0)
    run.leave(span.end_s)


def lens(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """The injector lets the rolled optic out; it unfolds and is turned into place."""
    length = span.end_s - span.start_s
    run = plan.run("injector").enter(span.start_s, *(OUT * 2.9), took_s=1.2)
    push, done = span.start_s + 1.4, span.start_s + 0.44 * length
    run.grip.hold(push).add(done, 1.0)
    plan.optic.hold(push).add(push + 0.02, *(OUT * 2.1), MAIN_DEG, 0.03, 0.0)
    plan.optic.add(done, *(OUT * 0.35), MAIN_DEG, 1.0, 0.05)
    run.stay(done + 0.15).leave(done + 1.0, took_s=0.85)
    open_at = done + 0.24 * length
    plan.optic.add(open_at, *(OUT * 0.25), MAIN_DEG - 4, 1.0, 1.0)
    hook = plan.run("hook", "side").enter(done + 0.4, *(SIDE * 2.2), took_s=1.0)
    turn = max(open_at, done + 1.5)
    hook.stay(turn).to(span.end_s - 1.0, *(SIDE * 1.4 + ACROSS * 1.6))
    plan.optic.hold(turn).add(span.end_s - 1.0, 0.10, -0.06, MAIN_DEG - 48, 1.0, 1.0)
    hook.leave(span.end_s)


def wash_out(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """Aspirator round the optic; a tap on it shakes it a little."""
    run = plan.run("aspirator").enter(span.start_s, *(OUT * 1.0), took_s=0.9)
    start, end = span.start_s + 1.0, span.end_s - 0.9
    count = max(3, round((end - start) / 0.8))
    plan.optic.hold(start)
    for k in range(1, count + 1):
        angle, at = 1.1 + 1.9 * k, start + (end - start) * k / count
        run.to(at, *(1.9 * np.array([np.cos(angle), np.sin(angle)])))
        shake = 0.03 * (-1) ** k
        plan.optic.add(at, 0.10 + shake, -0.06 - shake, MAIN_DEG - 48 + 30 * shake, 1.0, 1.0)
    plan.optic.add(end + 0.3, 0.08, -0.05, MAIN_DEG - 48, 1.0, 1.0)
    plan.bubbles.hold(start).add(end, 0.0)
    run.leave(span.end_s)


def closure(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """Fluid into the incision's walls, which whiten; then the side port."""
    start, length = span.start_s, 0.6 * (span.end_s - span.start_s)
    middle = start + length
    run = plan.run("cannula")
    run.enter(start, *(OUT * 4.7 + ACROSS * 1.1), took_s=min(0.9, 0.38 * length))
    run.stay(start + 0.44 * length).to(start + 0.68 * length, *(OUT * 4.7 - ACROSS * 1.1))
    plan.haze.hold(start + 0.4 * length).add(start + 0.75 * length, 1.0)
    run.leave(middle, took_s=min(0.7, 0.3 * length))
    other = plan.run("cannula", "side")
    other.enter(middle + 0.1, *(SIDE * 4.9), took_s=min(1.0, 0.3 * length))
    other.leave(span.end_s, took_s=min(0.8, 0.25 * length))
