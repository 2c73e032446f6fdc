"""The view through the pupil: red reflex, lens and its pieces, cortex, capsule, then the iris."""

from __future__ import annotations

import math

import cv2
import numpy as np

from sample_clips.eye_layers import polar_grid
from sample_clips.geometry import CANVAS_PX_PER_MM, LENS_R, PORTS
from sample_clips.implant import draw_implant
from sample_clips.inside_state import Groove, Inside, Opening, Piece
from sample_clips.texture import (
    Image,
    blurred,
    cloud_noise,
    mix,
    ring_noise,
    sampled,
    smooth_noise,
    smooth_step,
    spread,
)

HALF_MM = 4.4
QUARTERS = ((1, 1), (-1, 1), (-1, -1), (1, -1))  # signs of x and y in the lens's frame


def quarter_middle(index: int, turn_deg: float) -> tuple[float, float]:
    """Middle of a quarter of the lens at rest, mm in the eye's frame."""
    sx, sy = QUARTERS[index]
    turn = math.radians(turn_deg)
    c, s = math.cos(turn), math.sin(turn)
    return 1.25 * (sx * c - sy * s), 1.25 * (sx * s + sy * c)


class LensView:
    """Draws the disc that the pupil lets through."""

    def __init__(
        self, rng: np.random.Generator, opening: Opening, *, density: float, is_dyed: bool
    ) -> None:
        self._opening = opening
        self._radius, self._angle = polar_grid(HALF_MM)
        self._n = self._radius.shape[0]
        axis = (np.arange(self._n, dtype=np.float32) + 0.5) / CANVAS_PX_PER_MM - HALF_MM
        self._x, self._y = np.meshgrid(axis, axis)
        self._veil = (168, 112, 66) if is_dyed else (176, 186, 196)
        self._veil_alpha = 0.30 if is_dyed else 0.075
        self._reflex = self._make_reflex(rng)
        self._make_lens(rng, density)
        self._make_cortex(rng)
        self._grooves_kept: dict[Groove, tuple[Image, Image]] = {}
        self._layers_kept: tuple[tuple[tuple[Groove, ...], bool], list[Image]] | None = None
        self._rim_kept: tuple[tuple[float, float], tuple[Image, Image, Image]] | None = None

    def _make_reflex(self, rng: np.random.Generator) -> Image:
        """Glow of the fundus: orange-red, brighter somewhat off the centre."""
        shape = (self._n, self._n)
        glow = smooth_step(4.6, 0.2, np.hypot(self._x + 0.5, self._y + 0.3))
        base = mix(np.full((*shape, 3), (24, 34, 144), np.float32), (88, 142, 255), glow)
        return base * (1 + 0.02 * cloud_noise(rng, shape, 60, 3))[..., None]

    def _make_lens(self, rng: np.random.Generator, density: float) -> None:
        """Colour, opacity and the four quarters of the cataract, in the lens's frame."""
        shape = (self._n, self._n)
        spokes = ring_noise(rng, (64, 720), (64, 14))
        around = np.asarray(self._angle * (719 / (2 * np.pi)), np.float32)
        spoke = sampled(spokes, around, self._radius * 8)
        spoke = smooth_step(0.5, 1.7, spoke) * smooth_step(1.5, 3.0, self._radius)
        grain = cloud_noise(rng, shape, 34)
        core = smooth_step(3.3, 0.6, self._radius)
        colour = mix(np.full((*shape, 3), (112, 156, 182), np.float32), (58, 118, 158), core)
        colour = mix(colour, (176, 190, 198), spoke * 0.8) * (1 + 0.06 * grain)[..., None]
        rings = 1 + 0.04 * np.sin(self._radius * 9.0 + 0.7 * grain)
        alpha = density * (0.60 + 0.22 * core) * rings + 0.25 * spoke + 0.04 * grain
        edge = smooth_step(LENS_R, LENS_R - 0.5, self._radius)
        self._lens_colour = colour
        self._lens_alpha = np.clip(alpha, 0, 0.93) * edge
        jag = 0.07 * smooth_noise(rng, shape, (9, 9)) + 0.05 * smooth_noise(rng, shape, (26, 26))
        self._quarters, self._bevels = [], []
        for sx, sy in QUARTERS:
            near = np.minimum(sx * self._x, sy * self._y) + jag
            self._quarters.append(smooth_step(-0.03, 0.05, near))
            self._bevels.append(smooth_step(0.28, 0.02, near) * smooth_step(-0.03, 0.02, near))

    def _make_cortex(self, rng: np.random.Generator) -> None:
        """Fluffy ring that is left under the iris's edge when the nucleus is gone."""
        shape = (self._n, self._n)
        strands = ring_noise(rng, (96, 900), (40, 7)) + 0.7 * ring_noise(rng, (96, 900), (20, 24))
        around = np.asarray(self._angle * (899 / (2 * np.pi)), np.float32)
        fluff = sampled(strands, around, self._radius * 18)
        top = np.zeros(shape, np.float32)
        inner = 2.55 + 0.32 * sampled(strands, around, top)
        ring = smooth_step(-0.35, 0.55, self._radius - inner)
        self._cortex_alpha = np.clip(ring * (0.46 + 0.16 * fluff), 0, 0.85)
        start = math.radians(PORTS["main"].angle_deg - 170)
        self._sweep = np.asarray(np.mod(self._angle - start, 2 * np.pi) / (2 * np.pi), np.float32)
        flecks = smooth_step(1.5, 2.3, smooth_noise(rng, shape, (7, 7)))
        self._flecks = flecks * smooth_step(3.9, 3.0, self._radius) * 0.4

    def draw(self, state: Inside) -> Image:
        """Picture of the inside, shape (n, n, 3), before the iris is laid over it."""
        picture = self._reflex.copy()
        self._draw_cortex(picture, state)
        if state.is_whole:
            self._draw_whole(picture, state)
        else:
            for index, piece in enumerate(state.pieces):
                if piece.alpha > 0.01:
                    self._draw_piece(picture, state, index, piece)
        if 0.0 < state.wave < 1.0:
            self._draw_wave(picture, state.wave)
        if state.optic is not None and state.optic.out > 0.0:
            picture = draw_implant(picture, state.optic, HALF_MM)
        self._draw_capsule(picture, state)
        if state.swell != 1.0:
            picture = self._swollen(picture, state.swell)
        depth = smooth_step(0.75, 0.0, state.pupil_r - self._radius)
        picture *= spread(1.0 - 0.4 * depth)
        return picture

    def _draw_cortex(self, picture: Image, state: Inside) -> None:
        if state.cortex_gone < 1.0:
            left = smooth_step(state.cortex_gone - 0.04, state.cortex_gone + 0.03, self._sweep)
            left = left if state.cortex_gone > 0 else np.ones_like(left)
            picture[:] = mix(picture, (158, 176, 192), self._cortex_alpha * left)
        if state.flecks > 0.0 and state.cortex_gone > 0.0:
            picture[:] = mix(picture, (190, 200, 208), self._flecks * state.flecks)

    def _groove_masks(self, groove: Groove) -> tuple[Image, Image]:
        """Floor and walls of one groove, in the lens's frame."""
        if groove not in self._grooves_kept:
            turn = math.radians(groove.angle_deg)
            along = self._x * math.cos(turn) + self._y * math.sin(turn)
            across = np.abs(-self._x * math.sin(turn) + self._y * math.cos(turn))
            start, end = 2.45, 2.45 - 4.9 * groove.reach
            within = smooth_step(start + 0.3, start - 0.2, along)
            within *= smooth_step(end - 0.25, end + 0.2, along)
            floor = smooth_step(0.56, 0.40, across) * within
            wall = smooth_step(0.34, 0.48, across) * smooth_step(0.70, 0.56, across) * within
            masks = (0.25 + 0.62 * groove.depth) * floor, wall * (0.3 + 0.7 * groove.depth)
            self._grooves_kept = dict(list(self._grooves_kept.items())[-3:]) | {groove: masks}
        return self._grooves_kept[groove]

    def _cut(self, grooves: tuple[Groove, ...]) -> tuple[Image, Image]:
        """Opacity with the grooves cut in, and how bright their walls are."""
        alpha, walls = self._lens_alpha, np.zeros_like(self._lens_alpha)
        for groove in grooves:
            if groove.reach > 0.0:
                floor, wall = self._groove_masks(groove)
                alpha = alpha * (1 - floor)
                walls = np.maximum(walls, wall)
        return alpha, walls

    def _layers(self, grooves: tuple[Groove, ...], *, is_whole: bool) -> list[Image]:
        """Whole lens or its four quarters with these grooves: colour times opacity, opacity."""
        key = (grooves, is_whole)
        if self._layers_kept is None or self._layers_kept[0] != key:
            alpha, walls = self._cut(grooves)
            if is_whole:
                layers = [self._layer(alpha, walls)]
            else:
                layers = [
                    self._layer(alpha * quarter, np.maximum(walls, bevel) * quarter)
                    for quarter, bevel in zip(self._quarters, self._bevels, strict=True)
                ]
            self._layers_kept = (key, layers)
        return self._layers_kept[1]

    def _layer(self, alpha: Image, walls: Image) -> Image:
        colour = mix(self._lens_colour, (196, 212, 220), 0.42 * walls)
        return np.dstack([colour * alpha[..., None], alpha])

    def _matrix(
        self,
        turn_deg: float,
        size: float = 1.0,
        shift: tuple[float, float] = (0.0, 0.0),
        about: tuple[float, float] = (0.0, 0.0),
    ) -> np.ndarray:
        """Turn by one angle, then shrink about a place and shift (mm), as a pixel matrix."""
        middle = (self._n - 1) / 2
        matrix = cv2.getRotationMatrix2D((middle, middle), -turn_deg, 1.0) * size
        place = middle + np.array(about) * CANVAS_PX_PER_MM
        matrix[:, 2] += (1 - size) * place + np.array(shift) * CANVAS_PX_PER_MM
        return np.asarray(matrix)

    def _draw_whole(self, picture: Image, state: Inside) -> None:
        layer = self._layers(state.grooves, is_whole=True)[0]
        self._lay(picture, layer, self._matrix(state.lens_turn_deg), (0, 0, self._n, self._n))

    def _draw_piece(self, picture: Image, state: Inside, index: int, piece: Piece) -> None:
        matrix = self._matrix(
            state.lens_turn_deg + piece.turn_deg,
            piece.size,
            (piece.x, piece.y),
            quarter_middle(index, state.lens_turn_deg),
        )
        layer = self._layers(state.grooves, is_whole=False)[index]
        if piece.alpha < 1.0:
            layer = layer * np.float32(piece.alpha)
        half, more = self._n // 2, 14
        left, top = (half - more if sign > 0 else 0 for sign in QUARTERS[index])
        self._lay(picture, layer, matrix, (left, top, left + half + more, top + half + more))

    def _lay(
        self, picture: Image, layer: Image, matrix: np.ndarray, box: tuple[int, int, int, int]
    ) -> None:
        """Blend the part of a layer within `box`, moved by `matrix`, onto the picture."""
        left, top, right, bottom = box
        corners = np.array([[left, top], [right, top], [left, bottom], [right, bottom]])
        moved = corners @ matrix[:, :2].T + matrix[:, 2]
        x0, y0 = np.clip(np.floor(moved.min(axis=0)).astype(int), 0, self._n)
        x1, y1 = np.clip(np.ceil(moved.max(axis=0)).astype(int) + 1, 0, self._n)
        if x1 <= x0 or y1 <= y0:
            return
        shifted = matrix.copy()
        shifted[:, 2] -= (x0, y0)
        part = cv2.warpAffine(layer, shifted, (int(x1 - x0), int(y1 - y0)))
        blue, green, red, cover = cv2.split(part)
        under = picture[y0:y1, x0:x1]
        under *= spread(1.0 - cover)
        under += cv2.merge((blue, green, red))

    def _draw_wave(self, picture: Image, wave: float) -> None:
        """Fluid that runs behind the lens: a bright front and a brighter field behind it."""
        out = PORTS["main"].outward
        along = -(self._x * out[0] + self._y * out[1]) + 0.12 * (self._x * out[1]) ** 2
        front = -4.2 + 9.0 * wave
        band = np.exp(-(((along - front) / 0.16) ** 2))
        behind = smooth_step(front, front - 1.4, along) * (1 - wave)
        picture[:] = mix(picture, (168, 200, 236), 0.5 * band + 0.16 * behind)

    def _draw_capsule(self, picture: Image, state: Inside) -> None:
        key = (round(state.torn, 4), round(state.flap, 3))
        if self._rim_kept is None or self._rim_kept[0] != key:
            self._rim_kept = (key, self._capsule_masks(*key))
        veil, bright, dark = self._rim_kept[1]
        picture[:] = mix(picture, self._veil, veil)
        picture *= spread(1 - 0.38 * dark)
        picture[:] = mix(picture, (236, 240, 244), bright)

    def _capsule_masks(self, torn: float, flap: float) -> tuple[Image, Image, Image]:
        """Veil of the capsule left, bright line of its torn edge, and the shade beside it."""
        shape = (self._n, self._n)
        gone, bright, dark = (np.zeros(shape, np.float32) for _ in range(3))
        if torn <= 0.0:
            return np.full(shape, self._veil_alpha, np.float32), bright, dark
        arc = self._opening.point(np.linspace(0, 2 * np.pi * torn, max(8, round(160 * torn))))
        tip, start = arc[-1], arc[0]
        area = arc if torn >= 0.999 else np.vstack([arc, (tip + start) / 2])
        cv2.fillPoly(gone, [self._fixed(area)], 1.0, cv2.LINE_AA, 4)
        cv2.polylines(bright, [self._fixed(arc)], False, 0.95, 1, cv2.LINE_AA, 4)
        cv2.polylines(dark, [self._fixed(arc * 0.985)], False, 1.0, 2, cv2.LINE_AA, 4)
        veil = self._veil_alpha * (1 - gone)
        if flap > 0.01:
            fold = self._flap_outline(torn, flap)
            sheet = np.zeros(shape, np.float32)
            cv2.fillPoly(sheet, [self._fixed(fold)], 1.0, cv2.LINE_AA, 4)
            cv2.polylines(bright, [self._fixed(fold)], True, 0.6, 1, cv2.LINE_AA, 4)
            veil = veil + (0.16 + 1.2 * self._veil_alpha) * blurred(sheet, 1.2)
        dark = blurred(dark, 1.3)
        return np.clip(veil, 0, 0.8), blurred(bright, 0.7), dark

    def _flap_outline(self, torn: float, flap: float) -> np.ndarray:
        """Outline of the folded flap: the torn arc's end and its mirror image over the chord."""
        span = min(torn, 0.30)
        turns = np.linspace(torn - span, torn, 24) * 2 * np.pi
        arc = self._opening.point(turns)
        chord = arc[-1] - arc[0]
        normal = np.array([-chord[1], chord[0]]) / (np.linalg.norm(chord) + 1e-6)
        depth = (arc - arc[0]) @ normal
        mirrored = arc - np.outer(depth * (1 + 1.3 * flap), normal)
        return np.vstack([arc[-1], mirrored[::-1], arc[0] * 0.6 + arc[-1] * 0.4])

    def _fixed(self, points: np.ndarray) -> np.ndarray:
        """Points in mm as OpenCV's fixed-point pixels (4 bits)."""
        pixels = (points + HALF_MM) * CANVAS_PX_PER_MM - 0.5
        return np.round(pixels * 16).astype(np.int32).reshape(-1, 1, 2)

    def _swollen(self, picture: Image, swell: float) -> Image:
        middle = (self._n - 1) / 2
        matrix = cv2.getRotationMatrix2D((middle, middle), 0, swell)
        size = (self._n, self._n)
        return np.asarray(
            cv2.warpAffine(picture, matrix, size, borderMode=cv2.BORDER_REPLICATE), np.float32
        )
