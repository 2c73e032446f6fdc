"""Sound lies where its file says, on the clock of the pictures."""

from __future__ import annotations

import random
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numbered_clips import make_clip
from numpy.typing import NDArray
from sounding_clips import Sound, click_times, clicks, make_sounding_clip, tone

from annotate.clip import ClipIndex, build_index
from annotate.clip.sound import ClipSound
from annotate.errors import UserFacingError

KINDS: dict[str, dict[str, object]] = {
    "aac.mp4": {},
    "aac_44k1.mp4": {"sounds": [Sound(rate=44_100)]},
    "aac_mono_16k.mp4": {"sounds": [Sound(rate=16_000, layout="mono")]},
    "aac_six_channels.mp4": {"sounds": [Sound(layout="5.1")]},
    "aac_starts_late_in_file.ts": {"start_s": 2.0, "video": "mpeg2video"},
    "aac.mkv": {},
    "ac3.ts": {"sounds": [Sound(codec="ac3")], "video": "mpeg2video"},
    "mp2.mpg": {"sounds": [Sound(codec="mp2")], "video": "mpeg2video"},
    "pcm.avi": {"sounds": [Sound(codec="pcm_s16le")]},
    "pcm.mov": {"sounds": [Sound(codec="pcm_s16le")]},
    "opus.webm": {"sounds": [Sound(codec="libopus")], "video": "libvpx-vp9"},
    "wma.wmv": {"sounds": [Sound(codec="wmav2")], "video": "wmv2"},
    "sound_before_picture.mp4": {"sounds": [Sound(start_s=-0.5)]},
    "sound_before_picture.mkv": {"sounds": [Sound(start_s=-0.5)]},
    "sound_in_the_middle.mp4": {"sounds": [Sound(start_s=0.7, end_s=2.2)]},
    "sound_in_the_middle.ts": {
        "sounds": [Sound(start_s=0.7, end_s=2.2)], "video": "mpeg2video"},
}  # fmt: skip
MOST_AMISS_S = 0.0015
"""Matroska counts in milliseconds, MP4's edit lists too; a click's edge is a sample wide."""

LAST_SAMPLE_US = 35
"""Half a sample at double speed, half of the clip's own, and a time to the microsecond."""

Found = tuple[Path, ClipIndex, NDArray[np.int16]]


@pytest.fixture(scope="session")
def sounding(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Found]:
    folder = tmp_path_factory.mktemp("sounding")
    made: dict[str, Found] = {}

    def make(name: str) -> Found:
        if name not in made:
            path = folder / name
            make_sounding_clip(path, **KINDS[name])  # type: ignore[arg-type]
            index = build_index(path)
            made[name] = path, index, heard(path, index)
        return made[name]

    return make


def heard(path: Path, index: ClipIndex, start_us: int = 0, track: int = 0) -> NDArray[np.int16]:
    with ClipSound(path, index) as sound:
        return np.concatenate([b.samples for b in sound.blocks(start_us, 1.0, track)])


@pytest.mark.parametrize("kind", KINDS)
def test_clicks_are_heard_when_the_picture_flashes(
    kind: str, sounding: Callable[[str], Found]
) -> None:
    _, index, samples = sounding(kind)
    sound = KINDS[kind].get("sounds", [Sound()])[0]  # type: ignore[index]
    last_s = sound.end_s or index.duration_us / 1e6
    expected = [t for t in np.arange(0.5, last_s, 0.5) if t >= sound.start_s]
    # Six channels mixed down are quieter; the codec of WMV smears a click over some samples.
    found = click_times(samples, least=3000)
    amiss_s = 0.012 if kind == "wma.wmv" else MOST_AMISS_S
    assert found == pytest.approx(expected, abs=amiss_s)
    assert len(samples) == round(index.duration_us * 48 / 1000)


def test_the_flashes_are_where_the_clip_says(sounding: Callable[[str], Found]) -> None:
    """Ties the clicks to pixels: what the other tests take for granted."""
    from annotate.clip import ClipReader

    path, index, _ = sounding("sound_before_picture.mp4")
    with ClipReader(path, index) as reader:
        bright = [f.time_us for f in reader.frames() if f.fitted(8, 8)[..., :3].mean() > 128]
    assert bright == [500_000 * n for n in range(1, 8)]


@pytest.mark.parametrize("kind", KINDS)
def test_a_seek_leads_to_the_same_sound_as_playing_there(
    kind: str, sounding: Callable[[str], Found]
) -> None:
    path, index, whole = sounding(kind)
    chance = random.Random(kind)
    with ClipSound(path, index) as sound:
        for _ in range(8):
            start_us = chance.randrange(index.duration_us - 600_000)
            blocks = [b for _, b in zip(range(12), sound.blocks(start_us), strict=False)]
            first = round(start_us * 48 / 1000)
            got = np.concatenate([b.samples for b in blocks])
            there = whole[first : first + len(got)]
            assert len(there) == len(got)
            where = [t for t in click_times(got, least=3000) if t > 0.01]
            same = [t for t in click_times(there, least=3000) if t > 0.01]
            assert where == pytest.approx(same, abs=MOST_AMISS_S)
            if kind.endswith((".mp4", ".mov", ".avi", ".ts")) and "44k1" not in kind:
                assert np.abs(got.astype(int) - there).max() <= 4  # AC-3 adds noise of its own


def test_samples_are_those_of_a_plain_decode(sounding: Callable[[str], Found]) -> None:
    """Against PyAV alone, converted by FFmpeg's aformat."""
    path, _, whole = sounding("aac.mp4")
    graph = av.filter.Graph()
    parts = []
    with av.open(str(path)) as clip:
        stream = clip.streams.audio[0]
        source = graph.add_abuffer(template=stream)
        form = graph.add("aformat", "sample_fmts=s16:sample_rates=48000:channel_layouts=stereo")
        sink = graph.add("abuffersink")
        source.link_to(form)
        form.link_to(sink)
        graph.configure()
        for frame in clip.decode(stream):
            source.push(frame)
            parts.append(sink.pull().to_ndarray().reshape(-1, 2))
    plain = np.concatenate(parts)
    n = min(len(plain), len(whole))
    assert n >= 4 * 48_000 - 1024
    assert np.array_equal(plain[:n], whole[:n])


@settings(max_examples=25)
@given(start_us=st.integers(0, 3_999_000), speed=st.sampled_from([0.5, 0.8, 1.0, 1.7, 2.0]))
def test_blocks_follow_each_other_without_gap_or_overlap(
    sounding: Callable[[str], Found], start_us: int, speed: float
) -> None:
    path, index, _ = sounding("sound_in_the_middle.ts")
    with ClipSound(path, index) as sound:
        blocks = list(sound.blocks(start_us, speed))
    assert abs(blocks[0].start_us - start_us) <= 11  # half a sample
    for before, after in pairwise(blocks):
        assert abs(before.end_us - after.start_us) <= 1
    assert blocks[-1].end_us == pytest.approx(index.duration_us, abs=LAST_SAMPLE_US)


def test_each_of_several_tracks_is_heard(tmp_path: Path) -> None:
    path = tmp_path / "tracks.mkv"
    make_sounding_clip(
        path,
        [
            Sound(tone(440), language="eng", title="Theatre"),
            Sound(tone(1000), codec="ac3", layout="mono", language="fre"),
        ],
    )
    index = build_index(path)
    with ClipSound(path, index) as sound:
        first, second = sound.tracks
    assert (first.language, first.title, first.n_channels) == ("eng", "Theatre", 2)
    assert (second.language, second.title, second.n_channels) == ("fre", "", 1)
    assert loudest_hz(heard(path, index, track=0)) == pytest.approx(440, rel=0.01)
    assert loudest_hz(heard(path, index, track=1)) == pytest.approx(1000, rel=0.01)
    assert not heard(path, index, track=2).any()


def test_a_clip_without_sound_is_silent(tmp_path: Path) -> None:
    path = tmp_path / "mute.mp4"
    make_clip(path, n_frames=30)
    index = build_index(path)
    with ClipSound(path, index) as sound:
        assert sound.tracks == ()
    assert heard(path, index).shape == (48_000, 2)
    assert not heard(path, index).any()


def test_sound_follows_a_clock_that_starts_again(tmp_path: Path) -> None:
    parts = []
    for n in range(2):
        make_sounding_clip(tmp_path / f"{n}.ts", start_s=20.0 * (1 - n), video="mpeg2video")
        parts.append((tmp_path / f"{n}.ts").read_bytes())
    path = tmp_path / "joined.ts"
    path.write_bytes(b"".join(parts))
    index = build_index(path)
    assert index.duration_us == pytest.approx(8_000_000, abs=50_000)
    expected = [t for t in np.arange(0.5, 8, 0.5) if t != 4]
    # The second part begins while the last frame of the first still sounds: 11 ms, soon mended.
    found = [t for t in click_times(heard(path, index)) if abs(t - 4) > 0.1]
    assert found == pytest.approx(expected, abs=0.002)
    late = heard(path, index, start_us=5_200_000)
    assert [5.2 + t for t in click_times(late)] == pytest.approx([5.5, 6, 6.5, 7, 7.5], abs=0.002)


def test_a_file_that_is_gone_is_silent(sounding: Callable[[str], Found], tmp_path: Path) -> None:
    _, index, _ = sounding("aac.mp4")
    assert not heard(tmp_path / "gone.mp4", index).any()


@pytest.mark.parametrize("n_files", [20, pytest.param(500, marks=pytest.mark.soak)])
def test_mutated_sound_is_silence_at_worst(
    n_files: int, sounding: Callable[[str], Found], tmp_path: Path
) -> None:
    kinds = sorted(KINDS)
    for seed in range(n_files):
        chance = random.Random(seed)
        source, whole_index, _ = sounding(kinds[seed % len(kinds)])
        content = bytearray(source.read_bytes())
        for _ in range(chance.choice([1, 30, 500])):
            content[chance.randrange(len(content))] ^= chance.randrange(1, 256)
        del content[chance.choice([len(content), chance.randrange(1, len(content))]) :]
        path = tmp_path / f"mutated{source.suffix}"
        path.write_bytes(bytes(content))
        try:
            index = build_index(path)
        except UserFacingError:
            index = whole_index
        if index.duration_us > 60_000_000:
            index = whole_index
        for start_us in (0, index.duration_us // 2):
            assert len(heard(path, index, start_us)) == pytest.approx(
                (index.duration_us - start_us) * 48 / 1000, abs=1
            )


def test_a_click_is_told_from_noise() -> None:
    t_s = np.arange(96_000) / 48_000
    samples = (clicks()(t_s) * 30_000).astype(np.int16)[:, None]
    assert click_times(samples) == pytest.approx([0.5, 1.0, 1.5], abs=1e-4)


def loudest_hz(samples: NDArray[np.int16]) -> float:
    part = samples[4800:-4800, 0] * np.hanning(len(samples) - 9600)
    return float(np.argmax(np.abs(np.fft.rfft(part))) * 48_000 / len(part))
