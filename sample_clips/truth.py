"""The truth file that goes with a rendered clip, JSON.

The scenario is invented, and ``scenario`` says so. Times are seconds on the clip's own clock (0 is
its first frame), ``time_us`` in microseconds. Places are pixels of the stored picture with y down;
a pixel's centre has whole coordinates, the top left one (0, 0). Angles are degrees, clockwise.

Keys
----
clip, seed, operator, case_number, vocabulary, eye, width, height
    What was rendered.
part : {"index", "of", "starts_at_s"}
    Which part of the case this is and when it starts on the case's clock.
inside_magnification
    How much larger the capsule, the lens and the optic look than things in the limbus plane.
    ``mm_per_px`` holds for the plane of capsule and optic; for the limbus plane (limbus, keratome,
    needle outside the eye) multiply it by this. When the chamber shallows, that plane comes
    forward for a moment and looks larger: ``mm_per_px`` follows, ``zoom`` does not.
optic_mm, limbus_mm, incision_mm
    True sizes: the optic's and the limbus's diameter, the main incision's width.
capsule_opening : {"long_mm", "short_mm"}
    True diameters of the finished opening.
phases, idle : [{"code", "start_s", "end_s"}]
events : [{"code", "start_s", "end_s" or null, "leaning", "weight", "note"}]
pauses : [{"start_s", "end_s"}]
    No instrument's tip in the picture and nothing changes inside the eye, for 1.5 s or longer.
    The eye itself may drift.
excursions : [{"start_s", "end_s", "peak_limbus_radii"}]
    While the sudden move alone is beyond 0.1 limbus radii.
zoom : [{"start_s", "mm_per_px"}]
    Each steady magnification, from the moment it is reached; between two it changes smoothly.
instruments : [{"kind", "port", "start_s", "end_s"}]
    From entering to leaving the picture.
frames : lists of one entry a frame
    ``time_us``; ``eye_x_px``, ``eye_y_px``, ``limbus_r_px``, ``pupil_r_px``; ``mm_per_px``;
    ``visible`` (0 while the eye is hidden, out of focus or glared out: a tracker should report
    loss); ``capsule`` [cx, cy, a, b, angle_deg] in pixels, a and b half axes, null until the
    opening is complete; ``optic`` [cx, cy, r], null until it has unfolded; ``tip``, the tip of
    the main hand's instrument or null; ``needle`` [tip_x, tip_y, entry_x, entry_y] of the phaco
    needle, entry being where its axis crosses the line between the incision's edges, null
    while it is not in the eye; ``incision`` [x1, y1, x2, y2], that line's ends;
    ``needle_offset``, 0 in the incision's middle and 1 on an edge, null without a needle;
    ``focus`` 1 sharp to 0; ``glare`` 0 to 1.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

Row = list[float] | None


@dataclass(slots=True)
class Frames:
    """One entry a frame in each list."""

    time_us: list[int] = field(default_factory=list)
    eye_x_px: list[float] = field(default_factory=list)
    eye_y_px: list[float] = field(default_factory=list)
    limbus_r_px: list[float] = field(default_factory=list)
    pupil_r_px: list[float] = field(default_factory=list)
    mm_per_px: list[float] = field(default_factory=list)
    visible: list[int] = field(default_factory=list)
    capsule: list[Row] = field(default_factory=list)
    optic: list[Row] = field(default_factory=list)
    tip: list[Row] = field(default_factory=list)
    needle: list[Row] = field(default_factory=list)
    incision: list[list[float]] = field(default_factory=list)
    needle_offset: list[float | None] = field(default_factory=list)
    focus: list[float] = field(default_factory=list)
    glare: list[float] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.time_us)


@dataclass(slots=True)
class Truth:
    """All that is known about a rendered clip; the module's text says what each key means."""

    clip: str
    seed: int
    operator: str
    case_number: int
    vocabulary: str
    eye: str
    width: int
    height: int
    part: dict[str, Any]
    inside_magnification: float
    optic_mm: float
    limbus_mm: float
    incision_mm: float
    capsule_opening: dict[str, float]
    phases: list[dict[str, Any]]
    idle: list[dict[str, Any]]
    events: list[dict[str, Any]]
    pauses: list[dict[str, float]]
    excursions: list[dict[str, float]]
    zoom: list[dict[str, float]]
    instruments: list[dict[str, Any]]
    frames: Frames
    scenario: str = "invented"

    def write(self, path: Path) -> None:
        """Write the file whole or not at all."""
        part = path.with_name(path.name + ".part")
        body = _short(asdict(self))
        first = {"scenario": body.pop("scenario")}
        text = json.dumps(first | body, separators=(",", ":"), ensure_ascii=True)
        part.write_text(text + "\n", encoding="utf-8", newline="\n")
        part.replace(path)


def _short(value: Any) -> Any:
    """Write whole numbers without a point: a long list of 1.0 is a long list of 1."""
    if isinstance(value, dict):
        return {key: _short(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_short(item) for item in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def read_truth(path: Path) -> Truth:
    """Read a truth file.

    Raises
    ------
    ValueError
        If the file is not a truth file of this form.
    """
    body = json.loads(path.read_text(encoding="utf-8"))
    if not isinstance(body, dict) or body.get("scenario") != "invented":
        raise ValueError(f"{path.name} is not a truth file")
    try:
        return Truth(**(body | {"frames": Frames(**body["frames"])}))
    except (TypeError, KeyError) as error:
        raise ValueError(f"{path.name} is not a truth file: {error}") from error
