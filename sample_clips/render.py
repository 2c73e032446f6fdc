"""Render the sample clips: ``python -m sample_clips.render [--only NAME] [--out DIR]``.

The scenario is invented, the operation is shown shortened in time, and the same seed always gives
the same pixels. `render_clip` makes further clips with more noise, glare, loss of focus,
occlusion, another magnification, size or frame rate.
"""

from __future__ import annotations

import argparse
import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np

from sample_clips.cases import CASES
from sample_clips.encode import TICKS_PER_S, ClipWriter
from sample_clips.logbook import begin_truth, note_capsule, note_frame, pauses
from sample_clips.scenario import Scenario
from sample_clips.scene import Look, Scene
from sample_clips.truth import Truth

COMMITTED_CRF = 30.5


@dataclass(frozen=True, slots=True)
class Recorder:
    """How the recorder stores what the camera sees."""

    size: tuple[int, int] = (960, 540)
    fps: float = 25.0
    crf: float = COMMITTED_CRF
    preset: str = "medium"


def frame_ticks(length_s: float, fps: float, *, is_variable: bool, seed: int) -> list[int]:
    """Presentation times of the frames of a clip, in 1/90000 s from its first frame.

    A variable-rate recorder mixes gaps of 1/30, 1/25 and 1/15 s in runs, and hangs now and then
    for 0.4 to 0.9 s.
    """
    if not is_variable:
        return [round(k * TICKS_PER_S / fps) for k in range(int(length_s * fps))]
    rng = np.random.default_rng([seed, 5])
    ticks, now, end = [0], 0, round(length_s * TICKS_PER_S)
    while now < end:
        gap = int(rng.choice([3000, 3600, 6000], p=[0.45, 0.4, 0.15]))
        for _ in range(int(rng.integers(8, 60))):
            now += gap
            ticks.append(now)
        if rng.random() < 0.09:
            now += int(rng.uniform(0.4, 0.9) * TICKS_PER_S)
            ticks.append(now)
    return [tick for tick in ticks if tick < end]


def render_clip(
    scenario: Scenario,
    path: Path,
    truth_path: Path,
    *,
    part: int = 1,
    window_s: tuple[float, float] | None = None,
    look: Look | None = None,
    recorder: Recorder | None = None,
    seed: int | None = None,
) -> Truth:
    """Render one part of a scenario and write the clip and its truth.

    Parameters
    ----------
    scenario : Scenario
    path, truth_path : Path
        The MP4 file and the JSON file to write.
    part : int
        Which of the scenario's parts, from 1.
    window_s : (float, float), optional
        Start and end on the case's clock instead of the part's own.
    look : Look, optional
        Noise, glare, loss of focus, occlusion, magnification.
    recorder : Recorder, optional
        Size, frame rate, quality.
    seed : int, optional
        Another eye, drift and noise for the same scenario.

    Returns
    -------
    Truth
        As written.
    """
    if seed is not None:
        scenario = replace(scenario, seed=seed)
    look, recorder = look or Look(), recorder or Recorder()
    start_s, end_s = window_s or scenario.windows()[part - 1]
    scene = Scene(scenario, recorder.size, look)
    truth = begin_truth(scene, path.name, part, (start_s, end_s))
    ticks = frame_ticks(
        end_s - start_s,
        recorder.fps,
        is_variable=scenario.is_variable_rate,
        seed=scenario.seed,
    )
    with ClipWriter(
        path, recorder.size, recorder.fps, crf=recorder.crf, preset=recorder.preset
    ) as writer:
        for number, tick in enumerate(ticks):
            picture, moment = scene.picture(start_s + tick / TICKS_PER_S, number)
            writer.write(picture, tick)
            note_frame(truth.frames, round(tick * 1_000_000 / TICKS_PER_S), moment)
            note_capsule(truth.frames, scene, moment)
    truth.pauses = pauses(scene, (start_s, end_s))
    truth.write(truth_path)
    return truth


def _render_one(job: tuple[str, int, Path]) -> str:
    cv2.setNumThreads(1)  # the clips themselves are rendered side by side
    name, part, folder = job
    scenario = next(s for s in CASES if s.name == name)
    stem = scenario.stem(part)
    truth = render_clip(scenario, folder / f"{stem}.mp4", folder / f"{stem}.truth.json", part=part)
    size = (folder / f"{stem}.mp4").stat().st_size
    return f"{stem}: {len(truth.frames)} frames, {size / 1e6:.2f} MB"


def main(arguments: list[str] | None = None) -> int:
    """Render the committed clips, or those whose name begins with --only."""
    parser = argparse.ArgumentParser(prog="python -m sample_clips.render", description=__doc__)
    parser.add_argument("--only", default="", help="render clips whose name begins so")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent, help="folder")
    parser.add_argument("--jobs", type=int, default=2, help="clips rendered at the same time")
    chosen = parser.parse_args(arguments)
    jobs = [
        (scenario.name, part, chosen.out)
        for scenario in CASES
        for part in range(1, len(scenario.windows()) + 1)
        if scenario.stem(part).startswith(chosen.only)
    ]
    if not jobs:
        names = ", ".join(scenario.name for scenario in CASES)
        print(f"No clip's name begins with '{chosen.only}'. There are: {names}.", file=sys.stderr)
        return 2
    chosen.out.mkdir(parents=True, exist_ok=True)
    with ProcessPoolExecutor(max_workers=chosen.jobs) as pool:
        for line in pool.map(_render_one, jobs):
            print(line, flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
