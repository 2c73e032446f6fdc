"""What the inside of the eye looks like at one moment, as plain numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sample_clips.geometry import INSIDE_MAGNIFICATION, OPTIC_R, PUPIL_R, Array


@dataclass(frozen=True, slots=True)
class Groove:
    """A groove in the lens: its direction in the lens's frame, how far and how deep (0 to 1)."""

    angle_deg: float
    reach: float = 0.0
    depth: float = 0.0


@dataclass(frozen=True, slots=True)
class Piece:
    """A quarter of the lens: shifted (mm), turned, shrunk, faded."""

    x: float = 0.0
    y: float = 0.0
    turn_deg: float = 0.0
    size: float = 1.0
    alpha: float = 1.0


@dataclass(frozen=True, slots=True)
class Opening:
    """The capsule opening, an ellipse as large as it truly is inside the eye (mm).

    Attributes
    ----------
    x, y : float
        Centre in the eye's frame as seen (limbus-plane mm).
    long_mm, short_mm : float
        True diameters of the capsule opening, mm.
    angle_deg : float
        Direction of the long axis, clockwise from the right in the picture.
    start_deg : float
        Where the tear begins.
    """

    x: float
    y: float
    long_mm: float
    short_mm: float
    angle_deg: float
    start_deg: float

    def point(self, turn: Array) -> Array:
        """Points on the rim after `turn` (radians) from the beginning, as seen, shape (n, 2)."""
        tilt = math.radians(self.angle_deg)
        phase = turn + math.radians(self.start_deg) - tilt
        u = np.cos(phase) * self.long_mm / 2 * INSIDE_MAGNIFICATION
        v = np.sin(phase) * self.short_mm / 2 * INSIDE_MAGNIFICATION
        c, s = math.cos(tilt), math.sin(tilt)
        return np.stack([self.x + c * u - s * v, self.y + s * u + c * v], axis=-1)


@dataclass(frozen=True, slots=True)
class Optic:
    """The implant: its centre as seen (mm), direction, how far out and unfolded (0 to 1)."""

    x: float
    y: float
    turn_deg: float
    out: float
    unfolded: float

    @property
    def radius(self) -> float:
        """Radius as seen, limbus-plane mm."""
        return OPTIC_R


@dataclass(frozen=True, slots=True)
class Inside:
    """Everything seen through the pupil at one moment; equal states give equal pictures."""

    pupil_r: float = PUPIL_R
    lens_turn_deg: float = 0.0
    grooves: tuple[Groove, ...] = ()
    pieces: tuple[Piece, ...] = (Piece(), Piece(), Piece(), Piece())
    wave: float = 0.0
    cortex_gone: float = 0.0
    flecks: float = 1.0
    torn: float = 0.0
    flap: float = 0.0
    bubbles: float = 0.0
    swell: float = 1.0
    optic: Optic | None = None

    @property
    def is_whole(self) -> bool:
        """Whether no piece of the lens has moved against the others."""
        return all(piece == Piece() for piece in self.pieces)
