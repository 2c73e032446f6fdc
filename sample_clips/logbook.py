"""From what drove the rendering to the truth file: nothing here looks at a picture."""

from __future__ import annotations

from typing import Any

import numpy as np

from sample_clips.eye_motion import excursion_span
from sample_clips.geometry import INSIDE_MAGNIFICATION, LIMBUS_R, OPTIC_MM, PORTS
from sample_clips.plan import Held, pupil_radius_mm
from sample_clips.scene import ZOOM_S, Moment, Scene
from sample_clips.truth import Frames, Row, Truth

SHORTEST_PAUSE_S = 1.5
Window = tuple[float, float]


def begin_truth(scene: Scene, clip: str, part: int, window: Window) -> Truth:
    """Everything of a truth file but its frames and pauses."""
    scenario = scene.scenario
    start_s, _ = window
    return Truth(
        clip=clip,
        seed=scenario.seed,
        operator=scenario.operator,
        case_number=scenario.case_number,
        vocabulary=scenario.vocabulary,
        eye=scenario.eye,
        width=scene.size[0],
        height=scene.size[1],
        part={"index": part, "of": len(scenario.windows()), "starts_at_s": start_s},
        inside_magnification=INSIDE_MAGNIFICATION,
        optic_mm=OPTIC_MM,
        limbus_mm=2 * LIMBUS_R,
        incision_mm=PORTS["main"].width_mm,
        capsule_opening=dict(zip(("long_mm", "short_mm"), scenario.opening_mm, strict=True)),
        phases=[_span(s.code, s.start_s, s.end_s, window) for s in _cut(scenario.phases, window)],
        idle=[_span(s.code, s.start_s, s.end_s, window) for s in _cut(scenario.idle, window)],
        events=_events(scene, window),
        pauses=[],
        excursions=_excursions(scene, window),
        zoom=_zooms(scene, window),
        instruments=_instruments(scene, window),
        frames=Frames(),
    )


def _on_clip(time_s: float, window: Window) -> float:
    return round(min(max(time_s, window[0]), window[1]) - window[0], 3)


def _cut(spans: Any, window: Window) -> list[Any]:
    return [s for s in spans if s.start_s < window[1] and s.end_s > window[0]]


def _span(code: str, start_s: float, end_s: float, window: Window) -> dict[str, Any]:
    return {
        "code": code,
        "start_s": _on_clip(start_s, window),
        "end_s": _on_clip(end_s, window),
    }


def _events(scene: Scene, window: Window) -> list[dict[str, Any]]:
    rows = []
    for event in scene.scenario.events:
        end = event.start_s if event.end_s is None else event.end_s
        if event.start_s < window[1] and end >= window[0]:
            row = _span(event.code, event.start_s, end, window)
            row["end_s"] = None if event.end_s is None else row["end_s"]
            row |= {"leaning": event.leaning, "weight": event.weight, "note": event.note}
            rows.append(row)
    return rows


def _excursions(scene: Scene, window: Window) -> list[dict[str, float]]:
    rows = []
    for excursion in scene.scenario.excursions:
        start, end = excursion_span(excursion)
        if start < window[1] and end > window[0]:
            rows.append(
                {
                    "start_s": _on_clip(start, window),
                    "end_s": _on_clip(end, window),
                    "peak_limbus_radii": excursion.peak_limbus_radii,
                }
            )
    return rows


def _zooms(scene: Scene, window: Window) -> list[dict[str, float]]:
    rows: list[dict[str, float]] = []
    for k, (at, _) in enumerate(scene.scenario.zooms):
        reached = at + ZOOM_S if k else at
        if reached >= window[1]:
            break
        scale = scene.px_per_mm(max(reached, window[0])) * INSIDE_MAGNIFICATION
        row = {"start_s": _on_clip(reached, window), "mm_per_px": round(1 / scale, 6)}
        rows = [row] if reached <= window[0] else [*rows, row]
    return rows


def _instruments(scene: Scene, window: Window) -> list[dict[str, Any]]:
    rows = []
    for run in sorted(_cut(scene.plan.runs, window), key=lambda r: r.start_s):
        span = _span(run.kind, run.start_s, run.end_s, window)
        rows.append({"kind": span.pop("code"), "port": run.port, **span})
    return rows


def _rounded(*values: float, digits: int = 2) -> list[float]:
    return [round(float(v), digits) for v in values]


def note_frame(frames: Frames, time_us: int, moment: Moment) -> None:
    """Append one frame's truth."""
    px, inside = moment.px_per_mm, moment.inside
    frames.time_us.append(time_us)
    frames.eye_x_px.append(round(float(moment.centre[0]), 2))
    frames.eye_y_px.append(round(float(moment.centre[1]), 2))
    frames.limbus_r_px.append(round(LIMBUS_R * px, 2))
    frames.pupil_r_px.append(round(pupil_radius_mm(inside) * px, 2))
    frames.mm_per_px.append(round(1 / (px * INSIDE_MAGNIFICATION * inside.swell), 6))
    frames.visible.append(int(moment.is_visible))
    frames.capsule.append(None)
    frames.optic.append(_optic(moment))
    needle = _main_hand(moment, "phaco")
    hand = _main_hand(moment)
    frames.tip.append(None if hand is None else _rounded(*moment.in_view(hand.tip), digits=1))
    frames.needle.append(_needle(needle, moment))
    offset = None if needle is None else needle.lateral
    frames.needle_offset.append(None if offset is None else round(abs(offset), 3))
    edges = moment.in_view(PORTS["main"].edges())
    frames.incision.append(_rounded(*edges.ravel(), digits=1))
    frames.focus.append(round(moment.focus, 2))
    frames.glare.append(round(moment.glare, 2))


def note_capsule(frames: Frames, scene: Scene, moment: Moment) -> None:
    """Fill in the capsule opening of the frame noted last, once it is complete."""
    if moment.inside.torn < 0.999:
        return
    opening, swell, px = scene.plan.opening, moment.inside.swell, moment.px_per_mm
    centre = moment.in_view(np.array([opening.x, opening.y]) * swell)
    half = 0.5 * INSIDE_MAGNIFICATION * px * swell
    turn = np.degrees(np.arctan2(moment.matrix[1, 0], moment.matrix[0, 0]))
    angle = (opening.angle_deg + float(turn)) % 180
    frames.capsule[-1] = _rounded(
        *centre, opening.long_mm * half, opening.short_mm * half, angle, digits=1
    )


def _optic(moment: Moment) -> Row:
    optic = moment.inside.optic
    if optic is None or optic.unfolded < 0.999:
        return None
    swell = moment.inside.swell
    place = moment.in_view(np.array([optic.x, optic.y]) * swell)
    return _rounded(*place, optic.radius * moment.px_per_mm * swell)


def _main_hand(moment: Moment, kind: str | None = None) -> Held | None:
    """Instrument of the main hand, or the one of this kind, if there is one."""
    return next(
        (
            held
            for held in moment.held
            if (held.port == "main" if kind is None else held.kind == kind)
        ),
        None,
    )


def _needle(needle: Held | None, moment: Moment) -> Row:
    if needle is None or needle.entry is None:
        return None
    tip, entry = moment.in_view(needle.tip), moment.in_view(needle.entry)
    return _rounded(*tip, *entry, digits=1)


def pauses(scene: Scene, window: Window) -> list[dict[str, float]]:
    """Spans in which no tip is in the picture and nothing changes inside the eye."""
    step = 0.02
    times = np.arange(window[0], window[1], step)
    found: list[dict[str, float]] = []
    begin: float | None = None
    before = None
    for time_s in [*times.tolist(), window[1]]:
        state = _still_key(scene, time_s)
        is_still = state is not None and state == before and time_s < window[1]
        before = state
        if is_still and begin is None:
            begin = time_s - step
        elif not is_still and begin is not None:
            if time_s - begin >= SHORTEST_PAUSE_S:
                found.append(
                    {"start_s": _on_clip(begin, window), "end_s": _on_clip(time_s, window)}
                )
            begin = None
    return found


def _still_key(scene: Scene, time_s: float) -> object:
    """Something that stays equal while nothing moves; None while a tip is in the picture."""
    matrix = scene.matrix(time_s)
    for held in scene.plan.held(time_s):
        x, y = matrix[:, :2] @ held.tip + matrix[:, 2]
        if -8 < x < scene.size[0] + 8 and -8 < y < scene.size[1] + 8:
            return None
    inside = scene.plan.inside(time_s)
    return (inside.lens_turn_deg, inside.pieces, inside.optic, inside.torn, inside.wave)
