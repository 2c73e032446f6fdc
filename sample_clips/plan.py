"""The whole operation worked out: every instrument's way and every change inside the eye."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from sample_clips.geometry import LIMBUS_R, PORTS, PUPIL_R, Array
from sample_clips.inside_state import Groove, Inside, Opening, Optic, Piece
from sample_clips.keyframes import Keys
from sample_clips.lens import QUARTERS, quarter_middle
from sample_clips.scenario import Scenario

MAIN_DEG = PORTS["main"].angle_deg


@dataclass(slots=True)
class Run:
    """One instrument's stay in the view, from out of the picture to out of the picture.

    Attributes
    ----------
    kind, port : str
    tip : Keys
        Tip in the eye's frame, mm.
    lateral : Keys
        Where the axis crosses the line between the incision's edges: -1 and 1 are the edges.
    grip : Keys
    rail : Keys
        How far the tip follows the tear (first) or the cortex's edge (second) instead of `tip`.
    """

    kind: str
    port: str
    tip: Keys = field(default_factory=Keys)
    lateral: Keys = field(default_factory=lambda: Keys.constant(0.0))
    grip: Keys = field(default_factory=lambda: Keys.constant(0.0))
    rail: Keys = field(default_factory=lambda: Keys.constant(0.0, 0.0, 1.0))

    @property
    def start_s(self) -> float:
        """When it sets out."""
        return self.tip.times[0]

    @property
    def end_s(self) -> float:
        """When it has left."""
        return self.tip.times[-1]

    def enter(self, start_s: float, x: float, y: float, *, took_s: float = 0.95) -> Run:
        """Come from out of the picture, through the port, to a place."""
        port = PORTS[self.port]
        mouth = port.centre + port.outward * 0.5
        self.tip.add(start_s, *(port.outward * port.away_mm + port.centre))
        self.tip.add(start_s + 0.58 * took_s, *mouth)
        return self.to(start_s + took_s, x, y)

    def to(self, time_s: float, x: float, y: float) -> Run:
        """Be at a place at a time."""
        self.tip.add(time_s, x, y)
        return self

    def stay(self, time_s: float) -> Run:
        """Stay where it is until a time."""
        self.tip.hold(time_s)
        return self

    def leave(self, end_s: float, *, took_s: float = 0.8) -> Run:
        """Be out of the picture at `end_s`."""
        port = PORTS[self.port]
        if end_s - took_s > self.tip.times[-1]:
            self.tip.hold(end_s - took_s)
        start = self.tip.times[-1]
        self.tip.add(start + 0.42 * (end_s - start), *(port.centre + port.outward * 0.5))
        self.tip.add(end_s, *(port.outward * port.away_mm + port.centre))
        return self


@dataclass(frozen=True, slots=True)
class Held:
    """An instrument at one moment, in the eye's frame: tip, axis, where it crosses the port."""

    kind: str
    port: str
    tip: Array
    along: Array
    entry: Array | None
    lateral: float | None
    grip: float


def _ramp(*value: float) -> Keys:
    return Keys.constant(*value)


@dataclass(slots=True)
class Plan:
    """Every quantity of the operation over time."""

    scenario: Scenario
    opening: Opening
    runs: list[Run] = field(default_factory=list)
    side_cut: Keys = field(default_factory=lambda: _ramp(0.0))
    main_cut: Keys = field(default_factory=lambda: _ramp(0.0))
    pupil_r: Keys = field(default_factory=lambda: _ramp(PUPIL_R))
    flick: Keys = field(default_factory=lambda: _ramp(0.0))
    torn: Keys = field(default_factory=lambda: _ramp(0.0))
    flap: Keys = field(default_factory=lambda: _ramp(0.0))
    wave: Keys = field(default_factory=lambda: _ramp(0.0))
    lens_turn: Keys = field(default_factory=lambda: _ramp(0.0))
    grooves: tuple[Keys, Keys] = field(default_factory=lambda: (_ramp(0, 0), _ramp(0, 0)))
    gaps: tuple[Keys, Keys, Keys] = field(
        default_factory=lambda: (_ramp(0.0), _ramp(0.0), _ramp(0.0))
    )
    pieces: list[Keys] = field(default_factory=lambda: [_ramp(0, 0, 0, 1, 1) for _ in range(4)])
    cortex_gone: Keys = field(default_factory=lambda: _ramp(0.0))
    flecks: Keys = field(default_factory=lambda: _ramp(1.0))
    bubbles: Keys = field(default_factory=lambda: _ramp(0.0))
    swell: Keys = field(default_factory=lambda: _ramp(1.0))
    optic: Keys = field(default_factory=lambda: _ramp(0, 0, MAIN_DEG, 0, 0))
    haze: Keys = field(default_factory=lambda: _ramp(0.0))
    eaten: int = 0
    sculpted: int = 0

    def run(self, kind: str, port: str = "main") -> Run:
        """Begin an instrument's stay."""
        run = Run(kind, port)
        self.runs.append(run)
        return run

    def inside(self, time_s: float) -> Inside:
        """State of what is seen through the pupil."""
        turn = self.lens_turn.scalar(time_s)
        optic = self.optic.at(time_s)
        grooves = [
            Groove(angle, *np.round(keys.at(time_s), 3))
            for angle, keys in zip((0.0, 90.0), self.grooves, strict=True)
        ]
        return Inside(
            pupil_r=round(self.pupil_r.scalar(time_s) + self.flick.scalar(time_s), 4),
            lens_turn_deg=round(turn, 3),
            grooves=tuple(grooves),
            pieces=tuple(self._piece(k, time_s, turn) for k in range(4)),
            wave=round(self.wave.scalar(time_s), 4),
            cortex_gone=round(self.cortex_gone.scalar(time_s), 4),
            flecks=round(self.flecks.scalar(time_s), 3),
            torn=round(self.torn.scalar(time_s), 4),
            flap=round(self.flap.scalar(time_s), 3),
            bubbles=round(self.bubbles.scalar(time_s), 3),
            swell=round(self.swell.scalar(time_s), 4),
            optic=Optic(*np.round(optic, 4)) if optic[3] > 0.02 else None,
        )

    def _piece(self, index: int, time_s: float, turn_deg: float) -> Piece:
        """Quarter `index`: pushed apart along its broken edges, then carried off."""
        sx, sy = QUARTERS[index]
        first = self.gaps[0].scalar(time_s)
        second = self.gaps[1 if sy > 0 else 2].scalar(time_s)
        x, y, spin, size, alpha = self.pieces[index].at(time_s)
        turn = math.radians(turn_deg)
        c, s = math.cos(turn), math.sin(turn)
        px, py = sx * second, sy * first
        return Piece(
            round(x + c * px - s * py, 4), round(y + s * px + c * py, 4),
            round(spin, 3), round(size, 4), round(alpha, 3),
        )  # fmt: skip

    def quarter_place(self, index: int, time_s: float) -> Array:
        """Where a quarter's middle lies at a moment, mm."""
        turn = self.lens_turn.scalar(time_s)
        piece = self._piece(index, time_s, turn)
        return np.array(quarter_middle(index, turn)) + np.array([piece.x, piece.y])

    def held(self, time_s: float) -> list[Held]:
        """Instruments in or near the view at a moment, the last to be drawn on top."""
        return [
            self._held(run, time_s, k)
            for k, run in enumerate(self.runs)
            if run.start_s < time_s < run.end_s
        ]

    def _held(self, run: Run, time_s: float, number: int) -> Held:
        port = PORTS[run.port]
        tip = self._railed(run, time_s) + self._tremor(time_s, number)
        lateral = run.lateral.scalar(time_s)
        pivot = port.centre + port.tangent * lateral * port.width_mm / 2
        depth = float((pivot - tip) @ port.outward)
        inner = max(depth, 0.05)
        share = min(max(depth / 1.4, 0.0), 1.0)
        share = share * share * (3 - 2 * share)
        towards = (pivot - tip) / (np.linalg.norm(pivot - tip) + 1e-9)
        along = (1 - share) * port.outward + share * (towards if depth > 0 else port.outward)
        along = along / np.linalg.norm(along)
        if depth < 0.3:
            return Held(run.kind, run.port, tip, along, None, None, run.grip.scalar(time_s))
        reach = inner / float(along @ port.outward)
        entry = tip + along * reach
        offset = float((entry - port.centre) @ port.tangent) / (port.width_mm / 2)
        return Held(run.kind, run.port, tip, along, entry, offset, run.grip.scalar(time_s))

    def _railed(self, run: Run, time_s: float) -> Array:
        tip = run.tip.at(time_s)
        tear, cortex, radial = run.rail.at(time_s)
        if tear > 0:
            turn = np.array([2 * np.pi * self.torn.scalar(time_s)])
            place = self.opening.point(turn)[0]
            centre = np.array([self.opening.x, self.opening.y])
            tip = tip + tear * (centre + (place - centre) * radial - tip)
        if cortex > 0:
            angle = math.radians(MAIN_DEG - 170) + 2 * np.pi * self.cortex_gone.scalar(time_s)
            place = radial * 3.35 * np.array([math.cos(angle), math.sin(angle)])
            tip = tip + cortex * (place - tip)
        return np.asarray(tip)

    def _tremor(self, time_s: float, number: int) -> Array:
        size = self.scenario.skill.tremor_mm
        a = 2 * np.pi * time_s
        return size * np.array(
            [
                0.7 * math.sin(1.13 * a + number) + 0.3 * math.sin(4.7 * a + 2 * number),
                0.7 * math.sin(0.91 * a + 3 * number) + 0.3 * math.sin(5.3 * a),
            ]
        )


def port_cut(plan: Plan, port: str, time_s: float) -> float:
    """How far a port has been cut, 0 to 1."""
    return (plan.main_cut if port == "main" else plan.side_cut).scalar(time_s)


def pupil_radius_mm(state: Inside) -> float:
    """Radius of the pupil as seen, limbus-plane mm."""
    return min(state.pupil_r, LIMBUS_R - 0.6)
