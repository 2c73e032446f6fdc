"""How the first steps go: incisions, viscoelastic, capsule opening, freeing of the lens."""

from __future__ import annotations

import numpy as np

from sample_clips.geometry import PORTS
from sample_clips.plan import MAIN_DEG, Plan
from sample_clips.scenario import Span

OUT = PORTS["main"].outward
ACROSS = PORTS["main"].tangent
SIDE = PORTS["side"].outward


def incision(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """Side port with the small blade, then the main incision with the keratome."""
    start, length = span.start_s, span.end_s - span.start_s
    half = start + 0.42 * length
    blade = plan.run("side-blade", "side")
    blade.enter(start, *(SIDE * 5.6), took_s=0.28 * length).to(half - 0.6, *(SIDE * 4.1))
    plan.side_cut.add(start + 0.26 * length, 0).add(half - 0.6, 1)
    blade.leave(half, took_s=0.5)
    knife = plan.run("keratome")
    begin = half + 0.25
    touch = begin + 0.3 * (span.end_s - begin)
    knife.enter(begin, *(OUT * 5.7), took_s=touch - begin)
    knife.to(touch + 0.25, *(OUT * 5.6)).to(span.end_s - 1.0, *(OUT * 2.6))
    plan.main_cut.add(touch + 0.2, 0).add(span.end_s - 1.2, 1)
    knife.leave(span.end_s, took_s=0.7)


def viscoelastic(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """Cannula across the chamber, drawn back while it fills."""
    run = plan.run("cannula").enter(span.start_s, *(-OUT * 2.4 + ACROSS * 0.4))
    middle = (span.start_s + span.end_s) / 2
    run.to(middle, *(ACROSS * 1.3)).to(span.end_s - 1.0, *(OUT * 2.0 - ACROSS * 0.8))
    plan.bubbles.hold(span.start_s + 0.9).add(
        span.end_s - 0.9, min(1.0, plan.bubbles.last[0] + 0.5)
    )
    run.leave(span.end_s)


def capsulorhexis(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """Nick with the bent needle, then the flap is led round with the forceps, grasp by grasp."""
    length = span.end_s - span.start_s
    begin = plan.opening.point(np.array([0.0]))[0]
    nick_end = span.start_s + max(2.3, 0.2 * length)
    needle = plan.run("cystotome").enter(span.start_s, *(begin * 0.4))
    needle.to(nick_end - 0.95, *(begin * 0.98)).leave(nick_end, took_s=0.75)
    plan.torn.add(nick_end - 1.3, 0.0).add(nick_end - 0.9, 0.045)
    plan.flap.add(nick_end - 1.0, 0.0).add(nick_end - 0.75, 0.6)
    forceps = plan.run("forceps")
    first = nick_end + 1.3
    forceps.enter(nick_end + 0.25, *(begin * 0.6), took_s=1.0)
    forceps.grip.add(nick_end + 0.3, 0.9)
    grasps = plan.scenario.skill.grasps
    each = (span.end_s - 1.0 - first) / grasps
    forceps.rail.add(first - 0.15, 0, 0, 0.62)
    for k in range(grasps):
        at = first + k * each
        share = 0.045 + 0.955 * (k + 1) / grasps
        forceps.grip.add(at + 0.12, 0.9).add(at + 0.26, 0.08)
        forceps.rail.add(at + 0.10, 1, 0, 0.86).add(at + each * 0.75, 1, 0, 0.55)
        plan.torn.hold(at + 0.3).add(at + each * 0.80, share)
        plan.flap.hold(at + 0.3).add(at + each * 0.8, 1.0)
        forceps.grip.hold(at + each * 0.86)
        if k < grasps - 1:
            forceps.grip.add(at + each * 0.92, 0.9)
    end = span.end_s - 0.9
    plan.flap.hold(end - 0.1).add(end + 0.15, 0.0)
    place = plan.opening.point(np.array([0.0]))[0] * 0.55
    forceps.to(end, *place)
    forceps.rail.hold(end - 0.1).add(end + 0.1, 0, 0, 0.6)
    forceps.leave(span.end_s, took_s=0.8)


def hydrodissection(plan: Plan, span: Span, rng: np.random.Generator) -> None:
    """Fluid under the capsule's rim: a wave crosses, then the lens is turned to prove it free."""
    length = span.end_s - span.start_s
    place = OUT * 2.2 + ACROSS * 1.4
    run = plan.run("cannula").enter(span.start_s, *place, took_s=1.1)
    wave = span.start_s + 1.2
    plan.wave.hold(wave).add(wave + 0.28 * length, 1.0)
    plan.swell.hold(wave).add(wave + 0.2 * length, 1.012).add(wave + 0.4 * length, 1.0)
    turn = wave + 0.34 * length
    run.stay(turn - 0.3).to(turn, *(OUT * 1.4 + ACROSS * 1.0))
    run.to(span.end_s - 0.95, *(OUT * 0.9 - ACROSS * 1.4))
    plan.lens_turn.hold(turn).add(span.end_s - 0.95, MAIN_DEG)
    run.leave(span.end_s)
