"""The instruments, drawn as shaded shapes along an axis from their tip outwards."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np

from sample_clips.geometry import Array
from sample_clips.texture import Picture

FAR_MM = 34.0
Colour = tuple[float, float, float]
STEEL: tuple[Colour, ...] = ((52, 50, 48), (112, 108, 104), (176, 172, 168), (250, 250, 250))
SOFT: tuple[Colour, ...] = ((120, 104, 78), (164, 150, 120), (200, 190, 164), (250, 248, 240))


@dataclass(frozen=True, slots=True)
class Pose:
    """Where an instrument is in the picture.

    Attributes
    ----------
    kind : str
        One of `KINDS`.
    tip, along : Array
        Tip in pixels; unit vector from the tip outwards along the axis.
    px_per_mm : float
    grip : float
        How far jaws are open, or a plunger is pushed: 0 to 1.
    """

    kind: str
    tip: Array
    along: Array
    px_per_mm: float
    grip: float = 0.0

    def place(self, local: Sequence[tuple[float, float]]) -> np.ndarray:
        """Points (along, across) in mm as fixed-point pixels (4 bits)."""
        points = np.array(local)
        across = np.array([-self.along[1], self.along[0]])
        pixels = self.tip + self.px_per_mm * (
            points[:, :1] * self.along[None, :] + points[:, 1:] * across[None, :]
        )
        return np.round(pixels * 16).astype(np.int32).reshape(-1, 1, 2)


def _shape(
    frame: Picture, pose: Pose, local: Sequence[tuple[float, float]], colour: Colour
) -> None:
    cv2.fillPoly(frame, [pose.place(local)], colour, cv2.LINE_AA, 4)


def _tube(
    frame: Picture,
    pose: Pose,
    axis: Sequence[tuple[float, float]],
    width: float,
    shades: tuple[Colour, ...] = STEEL,
) -> None:
    """Round tube about a bent axis, lit from one side: strips from the rim to the highlight."""
    lit = 1.0 if pose.along[0] >= 0 else -1.0
    for shade, (share, shift) in zip(
        shades, ((1.0, 0.0), (0.76, -0.07), (0.46, -0.15), (0.13, -0.22)), strict=True
    ):
        half, off = width * share / 2, width * shift * lit
        left = [(u, v + off - half) for u, v in axis]
        right = [(u, v + off + half) for u, v in axis]
        _shape(frame, pose, left + right[::-1], shade)


def _see_through(
    frame: Picture, pose: Pose, alpha: float, draw: Callable[[Picture, Pose], None]
) -> None:
    """Draw something translucent; only the part of the frame that it can touch is blended."""
    reach = 3.2 * pose.px_per_mm
    far = pose.tip + pose.along * FAR_MM * pose.px_per_mm
    low = np.floor(np.minimum(pose.tip, far) - reach).astype(int)
    high = np.ceil(np.maximum(pose.tip, far) + reach).astype(int)
    left, top = np.clip(low, 0, (frame.shape[1], frame.shape[0]))
    right, bottom = np.clip(high, 0, (frame.shape[1], frame.shape[0]))
    part = frame[top:bottom, left:right]
    if part.size == 0:
        return
    over = part.copy()
    draw(over, replace(pose, tip=pose.tip - np.array([left, top])))
    cv2.addWeighted(over, alpha, part, 1 - alpha, 0, dst=part)


def _keratome(frame: Picture, pose: Pose) -> None:
    _tube(frame, pose, [(7.5, 0), (FAR_MM, 0)], 1.5)
    blade = [(0, 0), (2.1, 1.36), (7.2, 1.36), (8.4, 0.6), (8.4, -0.6), (7.2, -1.36), (2.1, -1.36)]
    _shape(frame, pose, blade, (150, 146, 142))
    _shape(
        frame, pose, [(0.35, 0), (2.3, 1.08), (7.0, 1.08), (8.2, 0.4), (8.2, 0)], (208, 206, 204)
    )
    _shape(
        frame, pose, [(0.35, 0), (8.2, 0), (8.2, -0.4), (7.0, -1.08), (2.3, -1.08)], (176, 173, 170)
    )
    _shape(frame, pose, [(2.6, 0.75), (6.8, 0.75), (6.8, 0.95), (2.6, 0.95)], (250, 250, 250))


def _side_blade(frame: Picture, pose: Pose) -> None:
    _tube(frame, pose, [(6.5, 0), (FAR_MM, 0)], 1.2)
    _shape(
        frame, pose, [(0, 0), (4.6, 0.55), (7.0, 0.5), (7.0, -0.5), (1.2, -0.5)], (164, 160, 156)
    )
    _shape(frame, pose, [(0.5, -0.1), (4.6, 0.42), (7.0, 0.4), (7.0, 0.0)], (226, 224, 222))


def _cannula(frame: Picture, pose: Pose) -> None:
    _tube(frame, pose, [(0, 0), (9.5, 0.0)], 0.42)
    _tube(frame, pose, [(9.3, 0), (FAR_MM, 0)], 1.15)


def _cystotome(frame: Picture, pose: Pose) -> None:
    _tube(frame, pose, [(0.35, 0), (9.5, 0)], 0.36)
    _shape(frame, pose, [(0, -0.34), (0.42, -0.12), (0.5, 0.16), (0.2, 0.16)], (210, 208, 206))
    _tube(frame, pose, [(9.3, 0), (FAR_MM, 0)], 1.0)


def _forceps(frame: Picture, pose: Pose) -> None:
    gap = 0.10 + 0.42 * pose.grip
    for sign in (-1.0, 1.0):
        _tube(frame, pose, [(0.0, sign * gap), (2.6, sign * (gap + 0.12)), (8.0, sign * 0.3)], 0.26)
        _shape(
            frame,
            pose,
            [(0, sign * gap), (0.1, sign * (gap - 0.16)), (0.5, sign * gap)],
            (200, 200, 200),
        )
    _tube(frame, pose, [(7.6, 0), (12, 0), (FAR_MM, 0)], 1.0)


def _phaco(frame: Picture, pose: Pose) -> None:
    _tube(frame, pose, [(0.0, 0), (2.0, 0)], 0.92)
    mouth = [(0.02 + 0.36 * (1 - np.cos(a)), 0.36 * np.sin(a)) for a in np.linspace(0, 6.28, 22)]
    _shape(frame, pose, mouth, (150, 146, 142))
    _shape(frame, pose, [(0.08 + u * 0.82, v * 0.74) for u, v in mouth], (34, 32, 36))
    _see_through(frame, pose, 0.62, lambda over, moved: _tube(over, moved, _SLEEVE, 1.62, SOFT))
    _see_through(
        frame, pose, 0.5, lambda over, moved: _tube(over, moved, [(1.6, 0), (FAR_MM, 0)], 0.86)
    )
    port = [(2.35 + 0.34 * np.cos(a), 0.30 + 0.2 * np.sin(a)) for a in np.linspace(0, 6.28, 18)]
    _see_through(frame, pose, 0.55, lambda over, moved: _shape(over, moved, port, (60, 56, 48)))


_SLEEVE = [(1.25, 0.0), (FAR_MM, 0.0)]


def _hook(frame: Picture, pose: Pose) -> None:
    _tube(frame, pose, [(0.05, 0), (10, 0)], 0.38)
    _shape(
        frame,
        pose,
        [(-0.05, 0.42), (0.02, 0.0), (0.30, -0.12), (0.34, 0.14), (0.12, 0.44)],
        (196, 194, 192),
    )
    _tube(frame, pose, [(9.6, 0), (FAR_MM, 0)], 1.0)


def _aspirator(frame: Picture, pose: Pose) -> None:
    _tube(frame, pose, [(0.12, 0), (2.4, 0)], 0.6)
    cap = [(0.14 - 0.26 * np.cos(a), 0.3 * np.sin(a)) for a in np.linspace(-1.57, 1.57, 14)]
    _shape(frame, pose, cap, (112, 108, 104))
    port = [(0.38 + 0.15 * np.cos(a), 0.15 * np.sin(a)) for a in np.linspace(0, 6.28, 16)]
    _shape(frame, pose, port, (22, 20, 24))
    _see_through(
        frame,
        pose,
        0.66,
        lambda over, moved: _tube(over, moved, [(1.6, 0), (FAR_MM, 0)], 1.5, SOFT),
    )


def _injector(frame: Picture, pose: Pose) -> None:
    body = [(0, 0.55), (0.7, 0.92), (FAR_MM, 1.15), (FAR_MM, -1.15), (0.7, -0.92), (1.1, -0.3)]
    push = 6.5 * (1 - pose.grip)
    _see_through(frame, pose, 0.42, lambda over, moved: _shape(over, moved, body, (212, 196, 166)))
    if pose.grip < 0.97:
        rolled = [
            (push * 0.25 + 0.2, 0.5),
            (push + 2.2, 0.5),
            (push + 2.2, -0.5),
            (push * 0.25 + 0.7, -0.5),
        ]
        _see_through(
            frame, pose, 0.35, lambda over, moved: _shape(over, moved, rolled, (240, 236, 228))
        )
    _tube(frame, pose, [(push + 1.6, 0), (FAR_MM, 0)], 0.8, SOFT)
    _see_through(
        frame,
        pose,
        0.6,
        lambda over, moved: _shape(
            over, moved, [(0.9, 0.68), (FAR_MM, 0.86), (FAR_MM, 0.7), (0.9, 0.52)], (252, 250, 246)
        ),
    )


def _swab(frame: Picture, pose: Pose) -> None:
    _tube(frame, pose, [(9, 0), (FAR_MM, 0)], 1.3, SOFT)
    spear = [(0, 0.3), (6.5, 2.8), (10.5, 2.9), (10.5, -2.9), (6.5, -2.8), (0, -0.3)]
    _shape(frame, pose, spear, (212, 220, 224))
    _shape(frame, pose, [(0.5, 0), (6.5, 2.2), (10.2, 2.3), (10.2, 0.4)], (236, 240, 242))


KINDS: dict[str, Callable[[Picture, Pose], None]] = {
    "keratome": _keratome,
    "side-blade": _side_blade,
    "cannula": _cannula,
    "cystotome": _cystotome,
    "forceps": _forceps,
    "phaco": _phaco,
    "hook": _hook,
    "aspirator": _aspirator,
    "injector": _injector,
    "swab": _swab,
}
_SHADOW_WIDTH = {
    "keratome": 2.4, "side-blade": 0.9, "cannula": 0.5, "cystotome": 0.45, "forceps": 0.9,
    "phaco": 1.4, "hook": 0.45, "aspirator": 1.2, "injector": 1.9, "swab": 4.0,
}  # fmt: skip


def draw_instrument(frame: Picture, pose: Pose) -> None:
    """Draw one instrument over the frame, in place."""
    KINDS[pose.kind](frame, pose)


def cast_shadows(frame: Picture, poses: Sequence[Pose]) -> Picture:
    """Darken the frame where the instruments keep the light off, softly and a little aside."""
    if not poses:
        return frame
    rows, cols = frame.shape[0] // 4, frame.shape[1] // 4
    mask = np.zeros((rows, cols), np.uint8)
    for pose in poses:
        small = Pose(
            pose.kind,
            (pose.tip + np.array([0.42, 0.5]) * pose.px_per_mm) / 4,
            pose.along,
            pose.px_per_mm / 4,
        )
        half = _SHADOW_WIDTH[pose.kind] / 2
        _shape(mask, small, [(0, -half), (FAR_MM, -half), (FAR_MM, half), (0, half)], (105, 0, 0))
    mask = cv2.GaussianBlur(mask, (0, 0), 2.2)
    full = cv2.resize(255 - mask, (frame.shape[1], frame.shape[0]))
    return np.asarray(cv2.multiply(frame, cv2.merge([full] * 3), scale=1 / 255), np.uint8)
