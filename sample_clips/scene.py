"""One frame: the layers put together as the plan says, and the numbers that drove it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from sample_clips.choreography import make_plan
from sample_clips.cornea import draw_bubbles, draw_haze, draw_lips, draw_port
from sample_clips.eye_layers import Iris, eye_canvas
from sample_clips.eye_motion import EyeMotion
from sample_clips.geometry import (
    BASE_PX_PER_MM,
    CANVAS_PX_PER_MM,
    LIMBUS_R,
    PORTS,
    Array,
    apply,
    eye_to_view,
)
from sample_clips.inside_state import Inside
from sample_clips.instruments import Pose, cast_shadows, draw_instrument
from sample_clips.keyframes import Keys
from sample_clips.lens import HALF_MM, LensView
from sample_clips.optics import Camera, glove
from sample_clips.plan import Held, port_cut, pupil_radius_mm
from sample_clips.scenario import Level, Scenario
from sample_clips.surround import make_surround
from sample_clips.texture import Picture, mix, to_picture

IRIS_HALF_MM = 6.3
ZOOM_S = 0.7


@dataclass(frozen=True, slots=True)
class Look:
    """How good or bad the view is, beyond what the scenario says.

    Attributes
    ----------
    noise : float
        Sensor noise, grey levels.
    glare, defocus, occlusion : float
        Added everywhere; 0 none to 1. Occlusion is the share of time a swab lies over the eye.
    zoom : float
        Factor on the magnification.
    """

    noise: float = 1.2
    glare: float = 0.0
    defocus: float = 0.0
    occlusion: float = 0.0
    zoom: float = 1.0


@dataclass(frozen=True, slots=True)
class Moment:
    """What drove one frame."""

    matrix: Array
    px_per_mm: float
    inside: Inside
    held: tuple[Held, ...]
    focus: float
    glare: float
    is_visible: bool

    @property
    def centre(self) -> Array:
        """The eye's centre in the picture, pixels."""
        return self.matrix[:, 2]

    def in_view(self, points: Array) -> Array:
        """Points of the eye's frame (mm) in the picture (pixels)."""
        return apply(self.matrix, points)


def _levels(levels: Sequence[Level]) -> Keys:
    keys = Keys.constant(0.0)
    for level in levels:
        keys.bump(level.start_s, level.end_s, level.peak, ramp_s=0.55)
    return keys


class Scene:
    """Everything needed to draw any moment of a scenario.

    Parameters
    ----------
    scenario : Scenario
    size : (int, int)
        Width and height, pixels.
    look : Look
    """

    def __init__(self, scenario: Scenario, size: tuple[int, int], look: Look) -> None:
        rng = np.random.default_rng([scenario.seed, 1])
        self.scenario, self.size, self.look = scenario, size, look
        self.plan = make_plan(scenario)
        self.motion = EyeMotion(
            np.random.default_rng([scenario.seed, 2]),
            scenario.skill.drift_mm,
            scenario.excursions,
        )
        self._scale = size[1] / 540
        self._canvas = eye_canvas(rng)
        self._iris = Iris(rng, scenario.iris, IRIS_HALF_MM)
        self._iris_under = self._canvas[self._square(IRIS_HALF_MM)].astype(np.float32)
        self._lens = LensView(
            rng, self.plan.opening, density=scenario.density, is_dyed=scenario.is_dyed
        )
        self._surround = make_surround(rng)
        self._camera = Camera(rng, size)
        self._glove = glove(rng, size)
        self._zoom, self._covers = self._zoom_keys(), _levels(scenario.covers)
        self._glare, self._defocus = _levels(scenario.glare), _levels(scenario.defocus)
        self._painted: Inside | None = None
        self._surround_kept: tuple[tuple[float, ...], tuple[Picture, Picture]] | None = None

    def _square(self, half_mm: float) -> tuple[slice, slice]:
        rows, cols = self._canvas.shape[:2]
        n = round(2 * half_mm * CANVAS_PX_PER_MM)
        top, left = (rows - n) // 2, (cols - n) // 2
        return slice(top, top + n), slice(left, left + n)

    def _zoom_keys(self) -> Keys:
        keys = Keys.constant(self.scenario.zooms[0][1])
        for at, factor in self.scenario.zooms[1:]:
            keys.hold(at).add(at + ZOOM_S, factor)
        return keys

    def px_per_mm(self, time_s: float) -> float:
        """Pixels per millimetre in the limbus plane."""
        return BASE_PX_PER_MM * self._scale * self.look.zoom * self._zoom.scalar(time_s)

    def matrix(self, time_s: float) -> Array:
        """Matrix from the eye's frame to the picture at a moment."""
        px_per_mm = self.px_per_mm(time_s)
        middle = (np.array(self.size) - 1) / 2
        centre = middle + np.array(self.scenario.primary_px) * self._scale
        centre = centre + self.motion.displacement(time_s) * px_per_mm
        return eye_to_view(centre, px_per_mm, self.motion.torsion_deg(time_s))

    def picture(self, time_s: float, number: int) -> tuple[Picture, Moment]:
        """Draw the frame of a moment on the case's clock; `number` picks the sensor noise."""
        matrix, px_per_mm = self.matrix(time_s), self.px_per_mm(time_s)
        inside = self.plan.inside(time_s)
        held = tuple(self.plan.held(time_s))
        focus = float(np.clip(1 - self._defocus.scalar(time_s) - self.look.defocus, 0, 1))
        glare = float(np.clip(self._glare.scalar(time_s) + self.look.glare, 0, 1))
        frame = self._eye(inside, matrix)
        frame = self._with_surround(frame, time_s)
        draw = Moment(matrix, px_per_mm, inside, held, focus, glare, is_visible=True)
        frame = self._with_instruments(frame, draw, time_s)
        shown = self.motion.displacement(time_s) * px_per_mm
        spot = draw.centre - 0.35 * shown + np.array([-0.1, -0.5]) * px_per_mm
        self._camera.add_reflexes(frame, spot, 0.30 * px_per_mm)
        frame, seen = self._with_covers(frame, draw, time_s)
        frame = self._camera.take(
            frame, focus=focus, glare=glare, noise=self.look.noise, number=number
        )
        is_visible = seen > 0.5 and focus > 0.25 and glare < 0.85
        return frame, Moment(matrix, px_per_mm, inside, held, focus, glare, is_visible)

    def _eye(self, inside: Inside, matrix: Array) -> Picture:
        """The eye itself, moved to its place in the picture."""
        if inside != self._painted:
            self._paint(inside)
            self._painted = inside
        rows, cols = self._canvas.shape[:2]
        whole = matrix.copy()
        whole[:, :2] /= CANVAS_PX_PER_MM
        whole[:, 2] += whole[:, :2] @ np.array([0.5 - cols / 2, 0.5 - rows / 2])
        return np.asarray(
            cv2.warpAffine(
                self._canvas, whole, self.size, flags=cv2.INTER_LINEAR,
                borderMode=cv2.BORDER_REPLICATE,
            ),
            np.uint8,
        )  # fmt: skip

    def _paint(self, inside: Inside) -> None:
        """Lay iris and pupil into the canvas."""
        radius = pupil_radius_mm(inside)
        square, inner = self._square(IRIS_HALF_MM), self._square(HALF_MM)
        iris = self._iris.picture(radius, self._iris_under)
        if self._painted is None or round(self._painted.pupil_r * 50) != round(radius * 50):
            self._canvas[square] = to_picture(iris)
        cut = (iris.shape[0] - (inner[0].stop - inner[0].start)) // 2
        under = iris[cut:-cut, cut:-cut]
        axis = (np.arange(under.shape[0], dtype=np.float32) + 0.5) / CANVAS_PX_PER_MM - HALF_MM
        distance = np.hypot(axis[None, :], axis[:, None])
        mask = np.clip((radius - distance) * CANVAS_PX_PER_MM / 1.6 + 0.5, 0, 1)
        self._canvas[inner] = to_picture(mix(under, self._lens.draw(inside), mask))

    def _with_surround(self, frame: Picture, time_s: float) -> Picture:
        """Lids, drape and speculum, which follow the eye's drift only a little."""
        zoom = self.px_per_mm(time_s) / BASE_PX_PER_MM
        shift = 0.25 * self.motion.drift(time_s) * self.px_per_mm(time_s)
        key = (round(zoom, 5), *np.round(shift * 2).tolist())
        if self._surround_kept is None or self._surround_kept[0] != key:
            moved = self._moved_surround(zoom, np.round(shift * 2) / 2)
            self._surround_kept = (key, moved)
        colour, see = self._surround_kept[1]
        return np.asarray(cv2.add(cv2.multiply(frame, see, scale=1 / 255), colour), np.uint8)

    def _moved_surround(self, zoom: float, shift: Array) -> tuple[Picture, Picture]:
        """Colour and see-through of the surround in the picture; kept in half pixels."""
        rows, cols = self._surround.colour.shape[:2]
        place = (np.array(self.size) - 1) / 2 + shift
        place = place - zoom * (np.array([cols, rows]) - 1) / 2
        matrix = np.array([[zoom, 0, place[0]], [0, zoom, place[1]]])
        colour = cv2.warpAffine(self._surround.colour, matrix, self.size)
        see = cv2.warpAffine(self._surround.see_through, matrix, self.size)
        return np.asarray(colour, np.uint8), np.asarray(see, np.uint8)

    def _with_instruments(self, frame: Picture, moment: Moment, time_s: float) -> Picture:
        """Incisions, instruments with their shadows, and what lies over them."""
        cuts = {name: port_cut(self.plan, name, time_s) for name in PORTS}
        for name, cut in cuts.items():
            draw_port(frame, moment.matrix, PORTS[name], cut)
        poses = [self._pose(held, moment) for held in moment.held]
        frame = cast_shadows(frame, poses)
        draw_bubbles(frame, moment.matrix, moment.inside.bubbles)
        for pose in poses:
            draw_instrument(frame, pose)
        for held in moment.held:
            if held.lateral is not None and cuts[held.port] > 0.5:
                draw_lips(frame, moment.matrix, PORTS[held.port], held.lateral, held.kind)
        draw_haze(frame, moment.matrix, self.plan.haze.scalar(time_s))
        return frame

    @staticmethod
    def _pose(held: Held, moment: Moment) -> Pose:
        along = moment.matrix[:, :2] @ held.along
        along = along / np.linalg.norm(along)
        return Pose(held.kind, moment.in_view(held.tip), along, moment.px_per_mm, held.grip)

    def _with_covers(self, frame: Picture, moment: Moment, time_s: float) -> tuple[Picture, float]:
        """Swab and gloved hand; also how much of the cornea is still seen, 0 to 1."""
        seen = np.full(frame.shape[:2], 255, np.uint8)
        if self.look.occlusion > 0:
            pose = self._swab(moment, time_s)
            draw_instrument(frame, pose)
            mask = np.zeros(frame.shape, np.uint8)
            draw_instrument(mask, pose)
            seen[mask.max(axis=2) > 0] = 0
        level = self._covers.scalar(time_s)
        if level > 0:
            shift = self.size[0] * (1.0 - 1.5 * level)
            matrix = np.array([[1.0, 0, shift], [0, 1.0, 0]])
            hand = cv2.warpAffine(self._glove[0], matrix, self.size)
            through = cv2.warpAffine(self._glove[1], matrix, self.size, borderValue=(255, 255, 255))
            frame = np.asarray(cv2.add(cv2.multiply(frame, through, scale=1 / 255), hand))
            seen = np.minimum(seen, through[..., 0])
        if level == 0 and self.look.occlusion == 0:
            return frame, 1.0
        disc = np.zeros(seen.shape, np.uint8)
        centre = (round(float(moment.centre[0])), round(float(moment.centre[1])))
        cv2.circle(disc, centre, round(LIMBUS_R * moment.px_per_mm), 1, -1)
        return frame, float(seen[disc > 0].mean() / 255) if disc.any() else 0.0

    def _swab(self, moment: Moment, time_s: float) -> Pose:
        """Swab that comes in from the left every six seconds."""
        phase = (time_s % 6.0) / 6.0
        share = self.look.occlusion
        keys = (
            Keys()
            .add(0, 17)
            .add(0.08, 17 - 17 * min(1, 0.6 + share))
            .add(share, 17 - 17 * min(1, 0.6 + share))
        )
        keys.add(min(share + 0.08, 1.0), 17)
        away = keys.scalar(phase)
        tip = moment.centre + np.array([-0.94, -0.34]) * (away - 1.5) * moment.px_per_mm
        return Pose("swab", tip, np.array([-0.94, -0.34]), moment.px_per_mm)
