"""From a scenario to a plan: each phase is played by the function for its step."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sample_clips import closing_steps, lens_steps, opening_steps
from sample_clips.geometry import INSIDE_MAGNIFICATION, PUPIL_R
from sample_clips.inside_state import Opening
from sample_clips.plan import Plan
from sample_clips.scenario import Scenario, Span

Step = Callable[[Plan, Span, np.random.Generator], None]
STEPS: dict[str, Step] = {
    "incision": opening_steps.incision,
    "viscoelastic": opening_steps.viscoelastic,
    "capsulorhexis": opening_steps.capsulorhexis,
    "hydrodissection": opening_steps.hydrodissection,
    "sculpt": lens_steps.sculpt,
    "crack": lens_steps.crack,
    "chop": lens_steps.chop,
    "fragments": lens_steps.fragments,
    "cortex": closing_steps.cortex,
    "polish": closing_steps.polish,
    "lens": closing_steps.lens,
    "viscoelastic-removal": closing_steps.wash_out,
    "closure": closing_steps.closure,
}


def make_plan(scenario: Scenario) -> Plan:
    """Work a scenario out; the same scenario always gives the same plan."""
    rng = np.random.default_rng([scenario.seed, 7])
    x, y = scenario.opening_offset_mm
    opening = Opening(
        x * INSIDE_MAGNIFICATION,
        y * INSIDE_MAGNIFICATION,
        *scenario.opening_mm,
        angle_deg=float(rng.uniform(0, 180)),
        start_deg=215.0,
    )
    plan = Plan(scenario, opening)
    plan.pupil_r.hold(0.3 * scenario.length_s).add(scenario.length_s, PUPIL_R - 0.12)
    for span in scenario.phases:
        STEPS[span.code](plan, span, rng)
    return plan
