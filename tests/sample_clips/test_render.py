"""Rendered files: what is written, and that it can be written again."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sample_clips.cases import R03_020
from sample_clips.encode import TICKS_PER_S, ClipWriter
from sample_clips.render import Recorder, frame_ticks, main, render_clip
from sample_clips.truth import Truth, read_truth

SMALL = Recorder(size=(320, 180), fps=25, preset="veryfast")


@pytest.fixture(scope="module")
def short(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Truth]:
    """Three seconds of constant rate, across the end of one phase and the start of the next."""
    folder = tmp_path_factory.mktemp("short")
    clip = folder / "short.mp4"
    steady = replace(R03_020, is_variable_rate=False)
    truth = render_clip(
        steady, clip, folder / "short.truth.json", window_s=(26.0, 29.0), recorder=SMALL
    )
    return clip, truth


def _times_us(clip: Path) -> list[int]:
    with av.open(str(clip)) as container:
        stream = container.streams.video[0]
        pts = sorted(p.pts for p in container.demux(stream) if p.pts is not None)
        return [round(t * stream.time_base * 1_000_000) for t in pts]


def test_truth_has_one_entry_for_each_frame_at_its_time(short: tuple[Path, Truth]) -> None:
    clip, truth = short
    assert truth.frames.time_us == _times_us(clip)
    assert len(truth.frames) == 75


def test_phases_are_cut_to_the_clip_and_moved_to_its_clock(short: tuple[Path, Truth]) -> None:
    """The window is 26 to 29 s; hydrodissection ends at 27.6 s, sculpting starts at 28.2 s."""
    _, truth = short
    assert truth.phases == [
        {"code": "hydrodissection", "start_s": 0.0, "end_s": 1.6},
        {"code": "sculpt", "start_s": 2.2, "end_s": 3.0},
    ]


def test_truth_file_reads_back_as_written(short: tuple[Path, Truth]) -> None:
    clip, truth = short
    assert read_truth(clip.with_name("short.truth.json")) == truth


def test_another_files_json_is_not_taken_for_truth(tmp_path: Path) -> None:
    path = tmp_path / "other.json"
    path.write_text('{"scenario": "invented"}')
    with pytest.raises(ValueError, match=r"other\.json is not a truth file"):
        read_truth(path)


def test_stream_is_h264_bt709_with_b_frames_and_groups_of_two_seconds(
    short: tuple[Path, Truth],
) -> None:
    with av.open(str(short[0])) as container:
        stream = container.streams.video[0]
        context = stream.codec_context
        assert (context.name, context.pix_fmt) == ("h264", "yuv420p")
        assert (context.color_primaries, context.color_trc, context.colorspace) == (1, 1, 1)
        packets = [p for p in container.demux(stream) if p.pts is not None]
        keys = sorted(p.pts * stream.time_base for p in packets if p.is_keyframe)
        assert [float(k) for k in keys] == [0.0, 2.0]
        assert any(later.pts < p.pts for p, later in pairwise(packets))


def test_file_carries_no_trace_of_machine_or_encoder(short: tuple[Path, Truth]) -> None:
    clip, _ = short
    written = clip.read_bytes()
    for word in (b"x264", b"Lavf", b"Lavc", b"cabac=", str(clip.parent).encode()):
        assert word not in written
    with av.open(str(clip)) as container:
        assert "creation_time" not in container.metadata
        assert "encoder" not in container.metadata


def test_rendering_again_gives_the_same_file(short: tuple[Path, Truth], tmp_path: Path) -> None:
    steady = replace(R03_020, is_variable_rate=False)
    again = tmp_path / "short.mp4"
    render_clip(steady, again, tmp_path / "short.truth.json", window_s=(26.0, 29.0), recorder=SMALL)
    assert again.read_bytes() == short[0].read_bytes()


def _write_and_fail(clip: Path) -> None:
    with ClipWriter(clip, (320, 180), 25, crf=30) as writer:
        writer.write(np.zeros((180, 320, 3), np.uint8), 0)
        raise ValueError("odd")


def test_a_failed_rendering_leaves_nothing_behind(tmp_path: Path) -> None:
    clip = tmp_path / "broken.mp4"
    with pytest.raises(ValueError, match="odd"):
        _write_and_fail(clip)
    assert list(tmp_path.iterdir()) == []


def test_an_unknown_clip_name_is_said_and_nothing_is_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    assert main(["--only", "q99", "--out", str(out)]) == 2
    assert "No clip's name begins with 'q99'" in capsys.readouterr().err
    assert not out.exists()


@given(st.floats(1, 90), st.integers(0, 2**31))
def test_frame_times_rise_strictly_and_stay_within_the_clip(length_s: float, seed: int) -> None:
    ticks = frame_ticks(length_s, 25.0, is_variable=True, seed=seed)
    gaps = np.diff(ticks)
    assert ticks[0] == 0
    assert (gaps > 0).all()
    assert ticks[-1] < length_s * TICKS_PER_S + 1
