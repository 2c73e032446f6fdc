"""The rendered picture shows what its numbers say."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np
import pytest
from limbus_in_picture import fitted_circle, grey, steepest, values
from numpy.typing import NDArray

from sample_clips.cases import A01_MODEL, R07_041
from sample_clips.geometry import LIMBUS_R, OPTIC_MM
from sample_clips.logbook import note_capsule, note_frame, pauses
from sample_clips.scene import Look, Moment, Scene
from sample_clips.truth import Frames

SIZE = (960, 540)


@pytest.fixture(scope="module")
def scene() -> Scene:
    return Scene(R07_041, SIZE, Look(noise=0.0))


@pytest.fixture(scope="module")
def model_scene() -> Scene:
    return Scene(A01_MODEL, SIZE, Look(noise=0.0))


def _truth(scene: Scene, moment: Moment) -> Frames:
    frames = Frames()
    note_frame(frames, 0, moment)
    note_capsule(frames, scene, moment)
    return frames


def _best_scale(picture: NDArray[np.float32], rim: Callable[[float], NDArray]) -> float:
    """Scale of a rim at which the picture changes most sharply across it."""
    sharp = np.abs(cv2.Laplacian(picture, cv2.CV_32F, ksize=5))
    scales = np.arange(0.92, 1.0801, 0.005)
    found = [values(sharp, *rim(s).T[:, None]).mean() for s in scales]
    return float(scales[int(np.argmax(found))])


def _with_look(scene: Scene, look: Look, monkeypatch: pytest.MonkeyPatch) -> NDArray[np.uint8]:
    monkeypatch.setattr(scene, "look", look)
    return scene.picture(1.0, 0)[0]


def test_same_seed_gives_the_same_pixels() -> None:
    first = Scene(R07_041, (320, 180), Look())
    second = Scene(R07_041, (320, 180), Look())
    for time_s in (47.0, 3.0):
        assert np.array_equal(first.picture(time_s, 9)[0], second.picture(time_s, 9)[0])


def test_a_frame_does_not_depend_on_the_frames_drawn_before(scene: Scene) -> None:
    wanted, _ = scene.picture(62.0, 4)
    scene.picture(20.0, 5)
    scene.picture(111.0, 6)
    assert np.array_equal(scene.picture(62.0, 4)[0], wanted)


@pytest.mark.parametrize("time_s", [1.0, 32.0, 51.2, 106.5])
def test_limbus_in_the_picture_is_where_truth_says(scene: Scene, time_s: float) -> None:
    picture, moment = scene.picture(time_s, 0)
    radius = LIMBUS_R * moment.px_per_mm
    cx, cy, found = fitted_circle(steepest(grey(picture), moment.centre, radius))
    assert np.hypot(cx - moment.centre[0], cy - moment.centre[1]) < 0.01 * 2 * radius
    assert found == pytest.approx(radius, rel=0.015)


def test_red_reflex_centroid_is_the_pupils_centre(scene: Scene) -> None:
    picture, moment = scene.picture(127.6, 0)
    y, x = np.mgrid[0 : SIZE[1], 0 : SIZE[0]]
    near = np.hypot(x - moment.centre[0], y - moment.centre[1]) < LIMBUS_R * moment.px_per_mm
    blue, red = picture[..., 0].astype(int), picture[..., 2].astype(int)
    reflex = near & (red - blue > 70)
    area = np.pi * (moment.inside.pupil_r * moment.px_per_mm) ** 2
    assert reflex.sum() == pytest.approx(area, rel=0.13)
    assert x[reflex].mean() == pytest.approx(moment.centre[0], abs=2.5)
    assert y[reflex].mean() == pytest.approx(moment.centre[1], abs=2.5)


def test_capsule_opening_in_the_picture_has_the_true_size(model_scene: Scene) -> None:
    picture, moment = model_scene.picture(60.5, 0)
    frames = _truth(model_scene, moment)
    assert frames.capsule[0] is not None
    cx, cy, a, b, angle = frames.capsule[0]
    turn, tilt = np.linspace(0, 2 * np.pi, 500), np.radians(angle)

    def rim(scale: float) -> NDArray:
        u, v = scale * a * np.cos(turn), scale * b * np.sin(turn)
        x = cx + u * np.cos(tilt) - v * np.sin(tilt)
        return np.stack([x, cy + u * np.sin(tilt) + v * np.cos(tilt)], axis=1)

    assert _best_scale(grey(picture), rim) == pytest.approx(1.0, abs=0.016)
    assert 2 * a * frames.mm_per_px[0] == pytest.approx(A01_MODEL.opening_mm[0], abs=0.01)
    assert 2 * b * frames.mm_per_px[0] == pytest.approx(A01_MODEL.opening_mm[1], abs=0.01)


def test_optic_in_the_picture_is_six_millimetres_across(model_scene: Scene) -> None:
    picture, moment = model_scene.picture(75.9, 0)
    frames = _truth(model_scene, moment)
    assert frames.optic[0] is not None
    cx, cy, radius = frames.optic[0]
    turn = np.linspace(0, 2 * np.pi, 500)

    def rim(scale: float) -> NDArray:
        return np.stack(
            [cx + scale * radius * np.cos(turn), cy + scale * radius * np.sin(turn)], axis=1
        )

    assert _best_scale(grey(picture), rim) == pytest.approx(1.0, abs=0.011)
    assert 2 * radius * frames.mm_per_px[0] == pytest.approx(OPTIC_MM, abs=0.01)


@pytest.mark.parametrize("time_s", [44.0, 46.5, 79.0])
def test_needle_ends_at_its_tip_and_crosses_the_incision_where_truth_says(
    scene: Scene, time_s: float
) -> None:
    picture, moment = scene.picture(time_s, 0)
    frames = _truth(scene, moment)
    row, offset = frames.needle[0], frames.needle_offset[0]
    assert row is not None
    assert offset is not None
    tip, entry = np.array(row[:2]), np.array(row[2:])
    first, second = np.array(frames.incision[0]).reshape(2, 2)
    edge = second - first
    along_edge = float((entry - first) @ edge / (edge @ edge))
    aside = abs(float(np.cross([*edge, 0], [*(entry - first), 0])[2]) / np.linalg.norm(edge))
    assert aside < 0.3
    assert abs(2 * along_edge - 1) == pytest.approx(offset, abs=0.01)
    runs = scene.plan.runs
    scene.plan.runs = []
    try:
        bare, _ = scene.picture(time_s, 0)
    finally:
        scene.plan.runs = runs
    axis = (entry - tip) / np.linalg.norm(entry - tip)
    y, x = np.nonzero(np.abs(picture.astype(int) - bare).max(axis=2) > 70)
    rel = np.stack([x, y], axis=1) - tip
    near = np.abs(rel @ np.array([-axis[1], axis[0]])) < 0.4 * moment.px_per_mm
    assert (rel[near] @ axis).min() == pytest.approx(0.0, abs=3.0)


def test_in_a_pause_nothing_changes_but_the_drift(scene: Scene) -> None:
    found = pauses(scene, (0.0, R07_041.length_s))
    assert len(found) >= 4
    for pause in found:
        middle = (pause["start_s"] + pause["end_s"]) / 2
        assert pause["end_s"] - pause["start_s"] >= 1.5
        assert scene.plan.held(middle) == []
        first, last = (scene.plan.inside(t) for t in (pause["start_s"] + 0.1, middle))
        assert replace(first, pupil_r=last.pupil_r) == last


def test_defocus_blurs_and_glare_lightens(
    model_scene: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    sharp, soft, glared = (
        _with_look(model_scene, look, monkeypatch)
        for look in (Look(noise=0), Look(noise=0, defocus=0.4), Look(noise=0, glare=0.5))
    )
    detail = [float(cv2.Laplacian(grey(p), cv2.CV_32F).var()) for p in (sharp, soft)]
    assert detail[1] < 0.3 * detail[0]
    assert glared.mean() > sharp.mean() + 15
