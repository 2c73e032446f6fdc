"""The committed clips and their truth files."""

from __future__ import annotations

import json
from pathlib import Path

import av
import numpy as np
import pytest
from limbus_in_picture import fitted_circle, grey, steepest

import sample_clips
from annotate.errors import UserFacingError
from sample_clips.catalogue import sample_cases
from sample_clips.truth import Truth, read_truth

FOLDER = Path(sample_clips.__file__).parent
STEMS = ("r07-041-part1", "r07-041-part2", "r07-012", "a01-model", "r03-020-vfr")
LIMIT_BYTES = 12_000_000

each_clip = pytest.mark.parametrize("stem", STEMS)


def _truth(stem: str) -> Truth:
    return read_truth(FOLDER / f"{stem}.truth.json")


def _times_us(stem: str) -> list[int]:
    with av.open(str(FOLDER / f"{stem}.mp4")) as container:
        stream = container.streams.video[0]
        pts = sorted(p.pts for p in container.demux(stream) if p.pts is not None)
        return [round(t * stream.time_base * 1_000_000) for t in pts]


def test_all_clips_and_truth_files_together_stay_within_twelve_megabytes() -> None:
    files = [p for p in FOLDER.iterdir() if p.suffix in {".mp4", ".json"}]
    assert {p.name for p in files} == {f"{s}{e}" for s in STEMS for e in (".mp4", ".truth.json")}
    assert sum(p.stat().st_size for p in files) <= LIMIT_BYTES
    assert all(p.stat().st_size < 500_000 for p in files if p.suffix == ".json")


@each_clip
def test_clip_opens_and_has_the_frames_that_truth_lists(stem: str) -> None:
    truth, times = _truth(stem), _times_us(stem)
    assert times == truth.frames.time_us
    assert 60.0 <= times[-1] / 1e6 <= 120.0
    with av.open(str(FOLDER / f"{stem}.mp4")) as container:
        stream = container.streams.video[0]
        assert (stream.width, stream.height) == (truth.width, truth.height) == (960, 540)
        assert len(container.streams) == 1


@each_clip
def test_every_list_of_a_truth_file_has_an_entry_a_frame(stem: str) -> None:
    frames = json.loads((FOLDER / f"{stem}.truth.json").read_text())["frames"]
    assert {len(column) for column in frames.values()} == {len(frames["time_us"])}


@each_clip
def test_phases_follow_each_other_and_lie_within_the_clip(stem: str) -> None:
    truth = _truth(stem)
    edges = [t for phase in truth.phases for t in (phase["start_s"], phase["end_s"])]
    assert edges == sorted(edges)
    assert edges[0] >= 0.0
    assert edges[-1] <= truth.frames.time_us[-1] / 1e6 + 0.1


@each_clip
def test_finished_opening_is_between_5_0_and_5_4_mm(stem: str) -> None:
    frames = _truth(stem).frames
    rows = [
        (row, scale) for row, scale in zip(frames.capsule, frames.mm_per_px, strict=True) if row
    ]
    (_, _, a, b, _), scale = rows[-1]
    assert 5.0 <= 2 * np.sqrt(a * b) * scale <= 5.4


@each_clip
def test_unfolded_optic_is_six_millimetres_across(stem: str) -> None:
    frames = _truth(stem).frames
    sizes = [
        2 * row[2] * scale for row, scale in zip(frames.optic, frames.mm_per_px, strict=True) if row
    ]
    assert bool(sizes) == (stem != "r07-041-part1")
    assert sizes == pytest.approx([6.0] * len(sizes), abs=0.01)


def test_only_the_variable_rate_clip_varies() -> None:
    for stem in STEMS:
        gaps = np.diff(_times_us(stem))
        if stem == "r03-020-vfr":
            shares = [np.mean(np.abs(gaps - 1e6 / rate) < 2) for rate in (30, 25, 15)]
            assert min(shares) > 0.05
            assert (gaps > 350_000).sum() >= 2
        else:
            assert set(gaps.tolist()) == {40_000}


def test_the_recorders_two_parts_join_in_the_middle_of_a_phase() -> None:
    first, second = _truth("r07-041-part1"), _truth("r07-041-part2")
    assert first.part == {"index": 1, "of": 2, "starts_at_s": 0.0}
    length_s = (first.frames.time_us[-1] + 40_000) / 1e6
    assert second.part["starts_at_s"] == pytest.approx(length_s, abs=0.001)
    assert first.phases[-1]["code"] == second.phases[0]["code"] == "crack"
    assert second.phases[0]["start_s"] == 0.0


def test_the_resident_has_what_a_reviewer_should_find_and_the_model_has_not() -> None:
    codes = {e["code"] for s in STEMS[:2] for e in _truth(s).events}
    assert codes >= {"eye-off-centre", "needle-on-wound", "crack-incomplete", "vacuum-lost"}
    model, early = _truth("a01-model"), _truth("r07-012")
    assert {e["leaning"] for e in model.events} == {"commend"}
    assert len(model.excursions) < len(early.excursions)
    assert len(model.pauses) < len(early.pauses)


@each_clip
def test_needle_lies_aside_only_where_an_event_says_so(stem: str) -> None:
    truth = _truth(stem)
    spans = [
        (e["start_s"] - 0.3, e["end_s"] + 0.3)
        for e in truth.events
        if e["code"] == "needle-on-wound"
    ]
    for time_us, offset in zip(truth.frames.time_us, truth.frames.needle_offset, strict=True):
        if offset is not None and offset > 0.7:
            assert any(start <= time_us / 1e6 <= end for start, end in spans)


@each_clip
def test_limbus_in_decoded_frames_is_where_truth_says(stem: str) -> None:
    """Goal of 1 % of the limbus's diameter, in the key frames without a tip in the picture."""
    truth = _truth(stem)
    frames, errors = truth.frames, []
    with av.open(str(FOLDER / f"{stem}.mp4")) as container:
        stream = container.streams.video[0]
        stream.codec_context.skip_frame = "NONKEY"
        for frame in container.decode(stream):
            k = frames.time_us.index(round(frame.time * 1e6))
            if frames.tip[k] or not frames.visible[k] or frames.focus[k] < 0.9:
                continue
            centre = np.array([frames.eye_x_px[k], frames.eye_y_px[k]])
            radius = frames.limbus_r_px[k]
            picture = grey(frame.to_ndarray(format="bgr24"))
            cx, cy, found = fitted_circle(steepest(picture, centre, radius))
            errors.append(np.hypot(cx - centre[0], cy - centre[1]) / (2 * radius))
            assert found == pytest.approx(radius, rel=0.02)
    assert len(errors) >= 2
    assert np.median(errors) < 0.01
    assert max(errors) < 0.03


def test_catalogue_lists_the_cases_with_their_clips() -> None:
    found = {case.code: case for case in sample_cases()}
    assert set(found) == {"R07-041", "R07-012", "A01-2400", "R03-020"}
    assert [p.name for p in found["R07-041"].clips] == ["r07-041-part1.mp4", "r07-041-part2.mp4"]
    assert [c.code for c in found.values() if c.is_model] == ["A01-2400"]
    assert found["R03-020"].vocabulary == "phaco-stop-chop"
    for case in found.values():
        assert all(path.is_file() for path in (*case.clips, *case.truths))


def test_a_missing_clip_is_named(tmp_path: Path) -> None:
    with pytest.raises(UserFacingError, match=r"r07-041-part1\.mp4"):
        sample_cases(tmp_path)
