"""The parts of a case are heard on the case clock."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numbered_clips import make_clip
from numpy.typing import NDArray
from sounding_clips import Sound, click_times, make_sounding_clip

from annotate.clip import build_index
from annotate.clip.case_parts import CasePart
from annotate.clip.case_sound import CaseSound
from annotate.errors import UserFacingError


@pytest.fixture(scope="module")
def clips(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("parts")
    make_sounding_clip(folder / "first.mp4", seconds=2)
    make_sounding_clip(
        folder / "second.mkv", [Sound(codec="ac3", rate=44_100)], seconds=3, video="libx264"
    )
    make_clip(folder / "mute.mp4", n_frames=30)
    return folder


def part(path: Path, lead_us: int = 0) -> CasePart:
    return CasePart.whole(path, build_index(path), lead_us)


def heard(parts: list[CasePart], start_us: int = 0, speed: float = 1.0) -> NDArray[np.int16]:
    with CaseSound(parts) as sound:
        return np.concatenate([b.samples for b in sound.blocks(start_us, speed)])


def test_parts_follow_each_other(clips: Path) -> None:
    parts = [part(clips / "first.mp4"), part(clips / "mute.mp4"), part(clips / "second.mkv")]
    samples = heard(parts)
    assert len(samples) == 6 * 48_000
    expected = [0.5, 1, 1.5, 3.5, 4, 4.5, 5, 5.5]
    assert click_times(samples, least=3000) == pytest.approx(expected, abs=0.0015)
    late = [3.9 + t for t in click_times(heard(parts, 3_900_000), least=3000)]
    assert late == pytest.approx(expected[4:], abs=0.0015)


def test_a_gap_is_silent_and_an_overlap_is_left_out(clips: Path) -> None:
    parts = [
        part(clips / "first.mp4"),
        part(clips / "second.mkv", lead_us=1_250_000),
        part(clips / "first.mp4", lead_us=-700_000),
    ]
    expected = [0.5, 1, 1.5]
    expected += [3.25 + t for t in (0.5, 1, 1.5, 2, 2.5)]
    expected += [5.55 + t for t in (1, 1.5)]
    samples = heard(parts)
    assert len(samples) == pytest.approx(7.55 * 48_000, abs=2)
    assert click_times(samples, least=3000) == pytest.approx(expected, abs=0.0015)


def test_over_a_join_at_half_speed(clips: Path) -> None:
    parts = [part(clips / "first.mp4"), part(clips / "first.mp4")]
    times = [t / 2 for t in click_times(heard(parts, speed=0.5), least=3000)]
    assert times == pytest.approx([0.5, 1, 1.5, 2.5, 3, 3.5], abs=0.015)


def test_a_part_that_is_not_there_is_silent(clips: Path) -> None:
    def lost() -> Path:
        raise UserFacingError("It is not there.")

    known = build_index(clips / "first.mp4")
    parts = [
        CasePart(lost, known, known.n_frames, known.duration_us),
        part(clips / "first.mp4"),
    ]
    assert click_times(heard(parts)) == pytest.approx([2.5, 3, 3.5], abs=0.0015)


def test_tracks_are_those_of_the_part_that_is_shown(clips: Path) -> None:
    parts = [part(clips / "first.mp4"), part(clips / "mute.mp4"), part(clips / "second.mkv")]
    with CaseSound(parts) as sound:
        assert [t.codec for t in sound.tracks_at(0)] == ["aac"]
        assert sound.tracks_at(2_500_000) == ()
        assert [t.codec for t in sound.tracks_at(3_000_000)] == ["ac3"]
        # A track that a part lacks: its last one is heard, rather than nothing.
        samples = np.concatenate([b.samples for b in sound.blocks(0, 1.0, track=3)])
    assert len(click_times(samples, least=3000)) == 8
