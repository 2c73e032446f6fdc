"""The implant: an optic of known diameter with two loops, rolled up at first, then unfolding."""

from __future__ import annotations

import math

import cv2
import numpy as np

from sample_clips.geometry import CANVAS_PX_PER_MM
from sample_clips.inside_state import Optic
from sample_clips.texture import Image, mix, spread


def _outline(optic: Optic, scale: float = 1.0) -> np.ndarray:
    """Rim of the optic, x and y in mm, shape (n, 2); a narrow ellipse while folded."""
    turn = np.linspace(0, 2 * np.pi, 121)[:-1]
    width = optic.radius * (0.24 + 0.76 * optic.unfolded)
    length = optic.radius * (0.35 + 0.65 * optic.out)
    local = np.stack([np.cos(turn) * length, np.sin(turn) * width], axis=1) * scale
    return _placed(optic, local)


def _placed(optic: Optic, local: np.ndarray) -> np.ndarray:
    angle = math.radians(optic.turn_deg)
    c, s = math.cos(angle), math.sin(angle)
    turned = local @ np.array([[c, s], [-s, c]])
    return np.asarray(turned + np.array([optic.x, optic.y]))


def _loop(optic: Optic, sign: float) -> np.ndarray:
    """Middle line of one loop, x and y in mm."""
    u = np.linspace(0, 1, 28)
    angle = math.radians(72) - u * 1.9
    radius = optic.radius * (0.97 + 1.1 * u * (1.25 - 0.45 * u) * (0.25 + 0.75 * optic.unfolded))
    local = np.stack([np.cos(angle) * radius, np.sin(angle) * radius], axis=1)
    local[:, 1] *= 0.3 + 0.7 * optic.unfolded
    return _placed(optic, local * sign)


def draw_implant(picture: Image, optic: Optic, half_mm: float) -> Image:
    """Lay the implant over the view through the pupil, shape (n, n, 3)."""
    n = picture.shape[0]

    def fixed(points: np.ndarray) -> np.ndarray:
        pixels = (points + half_mm) * CANVAS_PX_PER_MM - 0.5
        return np.round(pixels * 16).astype(np.int32).reshape(-1, 1, 2)

    body, rim, shade, loops = (np.zeros((n, n), np.float32) for _ in range(4))
    cv2.fillPoly(body, [fixed(_outline(optic))], 1.0, cv2.LINE_AA, 4)
    cv2.polylines(rim, [fixed(_outline(optic, 0.994))], True, 1.0, 2, cv2.LINE_AA, 4)
    cv2.polylines(shade, [fixed(_outline(optic, 0.955))], True, 1.0, 3, cv2.LINE_AA, 4)
    for sign in (-1.0, 1.0):
        cv2.polylines(loops, [fixed(_loop(optic, sign))], False, 1.0, 6, cv2.LINE_AA, 4)
    folded = 1.0 - optic.unfolded
    gloss = cv2.GaussianBlur(_gloss(optic, n, half_mm), (0, 0), 6)
    picture = mix(picture, (196, 172, 150), loops * 0.55)
    picture = mix(picture, (218, 214, 206), body * (0.07 + 0.34 * folded))
    picture = picture * spread(1 - 0.22 * cv2.GaussianBlur(shade, (0, 0), 1.4))
    picture = mix(picture, (250, 246, 240), body * gloss * (0.30 + 0.4 * folded))
    return mix(picture, (244, 240, 232), cv2.GaussianBlur(rim, (0, 0), 0.6) * 0.72)


def _gloss(optic: Optic, n: int, half_mm: float) -> Image:
    """Soft crescent of light along one side of the optic."""
    mask = np.zeros((n, n), np.float32)
    turn = np.linspace(3.5, 4.7, 30)
    width = optic.radius * (0.24 + 0.76 * optic.unfolded)
    length = optic.radius * (0.35 + 0.65 * optic.out)
    local = np.stack([np.cos(turn) * length, np.sin(turn) * width], axis=1) * 0.8
    pixels = (_placed(optic, local) + half_mm) * CANVAS_PX_PER_MM
    points = np.round(pixels * 16).astype(np.int32).reshape(-1, 1, 2)
    cv2.polylines(mask, [points], False, 1.0, 10, cv2.LINE_AA, 4)
    return mask
