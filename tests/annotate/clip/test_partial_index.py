"""The index of a clip's beginning, usable while the rest is still being read."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from clip_kinds import KINDS
from numbered_clips import make_clip, read_number, remux

from annotate.clip import ClipIndex, ClipReader, build_index

Made = Callable[[str], tuple[Path, list[int]]]
READ_THROUGH = sorted(k for k in KINDS if not k.endswith((".mp4", ".mov")))
SMALL = {"width": 128, "height": 96}


@pytest.fixture(autouse=True)
def at_each_packet(monkeypatch: pytest.MonkeyPatch) -> None:
    """Look and give an index at every chance: small clips are read in no time."""
    monkeypatch.setattr("annotate.clip.packets._LOOK_EVERY_S", -1)
    monkeypatch.setattr("annotate.clip.building._FIRST_AFTER_S", -1)
    monkeypatch.setattr("annotate.clip.building._LONGER_EACH_TIME", -1)


def partly(path: Path) -> tuple[list[ClipIndex], ClipIndex]:
    parts: list[ClipIndex] = []
    return parts, build_index(path, partly=parts.append)


@pytest.mark.parametrize("kind", READ_THROUGH)
def test_numbers_and_times_stay_in_the_whole_index(kind: str, made: Made) -> None:
    parts, whole = partly(made(kind)[0])
    assert all(whole.continues(part) for part in parts)
    assert all(part.is_partial for part in parts)
    assert not whole.is_partial
    counts = [part.n_frames for part in parts]
    assert counts == sorted(set(counts))
    for part in parts:
        assert whole.times_us[part.n_frames] == part.duration_us  # its last frame's end, too


@pytest.mark.parametrize(
    "kind", ["h264_open_groups.ts", "hevc_open_groups.ts", "mpeg2.ts", "variable_rate.mkv",
             "clock_starts_again.ts", "mpeg2.mpg"]
)  # fmt: skip
def test_a_reader_on_a_partial_index_gives_its_frames(kind: str, made: Made) -> None:
    path, shown = made(kind)
    parts, _ = partly(path)
    assert parts, kind
    with ClipReader(path, parts[-1], 1 << 19) as reader:
        n = parts[-1].n_frames
        asked = [n - 1, 0, n // 2, n - 1, n - 2]
        assert [read_number(reader.frame(a).rgb()) for a in asked] == [shown[a] for a in asked]


def test_a_clip_whose_times_are_not_trusted_is_given_whole_or_not_at_all(made: Made) -> None:
    for kind in ("h264_without_times.avi", "negative_times.mkv"):
        assert partly(made(kind)[0])[0] == []


def test_a_stream_cut_at_its_beginning_counts_from_the_same_picture(tmp_path: Path) -> None:
    """Packets 20 on, in groups of 24: what comes before 24 is never shown, partly or wholly."""
    make_clip(tmp_path / "a.ts", n_frames=150, **SMALL)
    remux(tmp_path / "a.ts", tmp_path / "b.ts", keep=lambda ordinal, _: ordinal >= 20)
    parts, whole = partly(tmp_path / "b.ts")
    assert parts
    assert all(whole.continues(part) for part in parts)
    with ClipReader(tmp_path / "b.ts", parts[0]) as reader:
        assert read_number(reader.frame(0).rgb()) == 24


def test_a_header_gives_the_whole_at_once(made: Made) -> None:
    assert partly(made("b_frames.mp4")[0])[0] == []


def test_a_partial_index_is_not_kept(made: Made) -> None:
    with pytest.raises(ValueError, match="still growing"):
        partly(made("h264_open_groups.ts")[0])[0][-1].to_bytes()


def test_an_index_of_another_clip_does_not_continue_it(tmp_path: Path, made: Made) -> None:
    make_clip(tmp_path / "a.ts", n_frames=70, **SMALL, gop=12)
    parts, _ = partly(tmp_path / "a.ts")
    assert not build_index(made("mpeg2.ts")[0]).continues(parts[-1])
