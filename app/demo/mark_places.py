"""Where a mark goes, from what is true of a frame: in parts of the picture's width and height."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping

from annotate.marks import MarkKind, Point
from app.demo.case_truth import TruthFrame
from app.demo.remarks import MarkPlan

Pixel = tuple[float, float]
_ARROW_SHARE = 0.12
"""Length of an arrow, in parts of the picture's width."""
_SLACK_SHARE = 0.01
"""How much farther out than the optic's edge a ring round it lies."""


def best_frame(plan: MarkPlan, frames: Iterable[TruthFrame]) -> TruthFrame | None:
    """Choose the frame that shows best what is marked, the earliest of equals; else None."""
    weigh = _WEIGHTS[plan.on]
    weighed = [(weight, frame) for frame in frames if (weight := weigh(frame)) is not None]
    if not weighed:
        return None
    return max(weighed, key=lambda pair: (pair[0], -pair[1].time_us))[1]


def mark_points(plan: MarkPlan, frame: TruthFrame) -> tuple[Point, ...]:
    """Points of a mark: an arrow's tail and head, a ring's centre and rim, a text's place."""
    size = frame.width, frame.height
    if plan.kind is MarkKind.TEXT:
        return ((0.06, 0.12),)
    if plan.kind is MarkKind.ARROW:
        tail, head = _ARROWS[plan.on](frame)
        return _relative(tail, size), _relative(head, size)
    centre, radius_px = _circle(plan, frame)
    return _relative(centre, size), _relative((centre[0] + radius_px, centre[1]), size)


def _relative(pixel: Pixel, size: tuple[int, int]) -> Point:
    """A place in parts of the picture, kept within it."""
    x, y = ((value + 0.5) / whole for value, whole in zip(pixel, size, strict=True))
    return round(min(max(x, 0.01), 0.99), 4), round(min(max(y, 0.01), 0.99), 4)


def _circle(plan: MarkPlan, frame: TruthFrame) -> tuple[Pixel, float]:
    frames, n = frame.frames, frame.number
    if plan.on == "optic":
        x, y, r = _present(frames.optic[n])
        return (x, y), r + _SLACK_SHARE * frame.width
    if plan.on == "needle":
        _, _, x, y = _present(frames.needle[n])
    else:
        x, y = _present(frames.tip[n])
    return (x, y), plan.size * frame.width


def _eye_arrow(frame: TruthFrame) -> tuple[Pixel, Pixel]:
    """From the picture's middle to where the eye's centre has gone."""
    frames, n = frame.frames, frame.number
    middle = ((frame.width - 1) / 2, (frame.height - 1) / 2)
    return middle, (frames.eye_x_px[n], frames.eye_y_px[n])


def _capsule_arrow(frame: TruthFrame) -> tuple[Pixel, Pixel]:
    """From outside to the end of the opening's long axis that lies to the left."""
    x, y, a, _, angle_deg = _present(frame.frames.capsule[frame.number])
    along = math.radians(angle_deg)
    sign = -1.0 if math.cos(along) >= 0 else 1.0
    ux, uy = sign * math.cos(along), sign * math.sin(along)
    head = (x + ux * a, y + uy * a)
    length_px = _ARROW_SHARE * frame.width
    return (head[0] + ux * length_px, head[1] + uy * length_px), head


def _present(row: list[float] | None) -> list[float]:
    if row is None:
        raise ValueError("the frame does not show it")
    return row


def _off_centre(frame: TruthFrame) -> float:
    (x, y), (eye_x, eye_y) = _eye_arrow(frame)
    return math.hypot(eye_x - x, eye_y - y)


def _inside(frame: TruthFrame) -> float | None:
    """A tip within the pupil shows best what it does, one within the limbus less well."""
    frames, n = frame.frames, frame.number
    tip = frames.tip[n]
    if tip is None:
        return None
    away_px = math.hypot(tip[0] - frames.eye_x_px[n], tip[1] - frames.eye_y_px[n])
    if away_px > frames.limbus_r_px[n]:
        return None
    return 1.0 if away_px <= frames.pupil_r_px[n] else 0.0


def _there(rows: str) -> Callable[[TruthFrame], float | None]:
    """Weigh all frames alike in which something is there."""

    def weigh(frame: TruthFrame) -> float | None:
        return None if getattr(frame.frames, rows)[frame.number] is None else 0.0

    return weigh


_ARROWS = {"eye": _eye_arrow, "capsule": _capsule_arrow}
_WEIGHTS: Mapping[str, Callable[[TruthFrame], float | None]] = {
    "needle": lambda frame: frame.frames.needle_offset[frame.number],
    "eye": _off_centre,
    "tip": _inside,
    "capsule": _there("capsule"),
    "optic": _there("optic"),
    "corner": lambda _frame: 0.0,
}
