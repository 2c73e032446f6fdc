"""The rendered eye's sizes and places, in millimetres as seen in the limbus plane.

The eye's frame has its origin in the limbus's centre, x to the right and y down, as in the
picture. What lies inside the eye (capsule, lens, optic) is seen through the cornea and looks
larger than what lies in the limbus plane: by 11 to 17 % for planes 3.0 to 4.5 mm behind the
cornea (single surface, radius 7.8 mm, index 1.336: computed). One factor, 1.13, stands for all of
them here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

INSIDE_MAGNIFICATION = 1.13
LIMBUS_R = 5.85
PUPIL_R = 3.98
OPTIC_MM = 6.0
OPTIC_R = OPTIC_MM / 2 * INSIDE_MAGNIFICATION
LENS_R = 3.72
BASE_PX_PER_MM = 34.0  # limbus plane, in a picture 540 pixels high
CANVAS_PX_PER_MM = 40.0


@dataclass(frozen=True, slots=True)
class Port:
    """One way into the eye: the main incision or the side port.

    Attributes
    ----------
    angle_deg : float
        Where it lies on the cornea, clockwise from the right in the picture.
    width_mm, tunnel_mm : float
        Size in the limbus plane.
    away_mm : float
        How far outside the port a tip must be to be out of the picture.
    """

    angle_deg: float
    width_mm: float
    tunnel_mm: float
    away_mm: float

    @property
    def outward(self) -> Array:
        """Unit vector from the eye's centre to the port."""
        angle = math.radians(self.angle_deg)
        return np.array([math.cos(angle), math.sin(angle)])

    @property
    def tangent(self) -> Array:
        """Unit vector from the port's first edge to its second."""
        out = self.outward
        return np.array([-out[1], out[0]])

    @property
    def centre(self) -> Array:
        """Middle of the port's outer mouth, mm."""
        return self.outward * 5.5

    def edges(self) -> Array:
        """Two ends of the outer mouth, mm, shape (2, 2)."""
        half = self.tangent * self.width_mm / 2
        return np.array([self.centre - half, self.centre + half])


PORTS = {
    "main": Port(angle_deg=60.0, width_mm=2.8, tunnel_mm=1.6, away_mm=10.0),
    "side": Port(angle_deg=160.0, width_mm=1.1, tunnel_mm=1.0, away_mm=16.0),
}


def eye_to_view(centre_px: Array, px_per_mm: float, torsion_deg: float) -> Array:
    """Matrix from the eye's frame (mm, limbus plane) to the picture (pixels), shape (2, 3)."""
    angle = math.radians(torsion_deg)
    c, s = math.cos(angle) * px_per_mm, math.sin(angle) * px_per_mm
    return np.array([[c, -s, centre_px[0]], [s, c, centre_px[1]]])


def apply(matrix: Array, points: Array) -> Array:
    """Points of shape (2,) or (n, 2) through a 2 x 3 matrix."""
    result: Array = np.asarray(points, dtype=float) @ matrix[:, :2].T + matrix[:, 2]
    return result
