"""The kinds of clip that the tests make are what their names say."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import pytest
from clip_kinds import KINDS

ClipMaker = Callable[[str], Path]


def hidden_vp9_pictures(path: Path) -> int:
    """Packets that end in an index of several pictures (VP9 bitstream specification, annex B)."""
    found = 0
    with av.open(str(path)) as clip:
        for packet in clip.demux(video=0):
            content = bytes(packet)
            mark = content[-1] if content else 0
            length = 2 + ((mark >> 3 & 3) + 1) * ((mark & 7) + 1)
            found += mark & 0xE0 == 0xC0 and len(content) >= length and content[-length] == mark
    return found


def test_all_that_recorders_write_is_there() -> None:
    """Issue 3's list, as (codec, ending)."""
    wanted = {
        ("h264", "mp4"), ("h264", "mkv"), ("h264", "ts"), ("h264", "avi"), ("hevc", "mp4"),
        ("hevc", "ts"), ("hevc", "mkv"), ("mpeg2", "ts"), ("mpeg2", "mpg"), ("mpeg4", "avi"),
        ("mpeg4", "mp4"), ("mjpeg", "avi"), ("wmv2", "wmv"), ("prores", "mov"), ("vp9", "webm"),
        ("av1", "mp4"),
    }  # fmt: skip
    assert wanted <= {(name.split("_")[0].split(".")[0], name.split(".")[1]) for name in KINDS}


@pytest.mark.parametrize(
    ("kind", "codec", "format_name", "size"),
    [
        ("h264_4k.mp4", "h264", "yuv420p", (3840, 2160)),
        ("hevc_10_bit_4k.mkv", "hevc", "yuv420p10le", (3840, 2160)),
        ("hevc_10_bit.mp4", "hevc", "yuv420p10le", (256, 192)),
        ("h264_10_bit.mp4", "h264", "yuv420p10le", (256, 192)),
        ("av1_10_bit.mp4", "av1", "yuv420p10le", (256, 192)),
        ("prores.mov", "prores", "yuv422p10le", (256, 192)),
        ("portrait.mp4", "h264", "yuv420p", (192, 256)),
        ("wmv1.wmv", "wmv1", "yuv420p", (256, 192)),
    ],
)
def test_codec_depth_and_size(
    kind: str, codec: str, format_name: str, size: tuple[int, int], clip_of: ClipMaker
) -> None:
    with av.open(str(clip_of(kind))) as clip:
        frame = next(clip.decode(video=0))
        name = {"libdav1d": "av1"}.get(clip.streams.video[0].codec_context.name)
        assert (name or clip.streams.video[0].codec_context.name) == codec
    assert (frame.format.name, (frame.width, frame.height)) == (format_name, size)


@pytest.mark.parametrize(
    "kind",
    ["h264_fields_coded_apart.mp4", "h264_fields_in_pairs.mp4", "h264_fields_in_pairs.ts",
     "mpeg2_interlaced.mpg",
     "mpeg2_interlaced.ts", "prores_interlaced.mov"],
)  # fmt: skip
def test_interlaced_kinds_are_interlaced(kind: str, clip_of: ClipMaker) -> None:
    with av.open(str(clip_of(kind))) as clip:
        assert next(clip.decode(video=0)).interlaced_frame


def test_two_packets_make_one_picture(clip_of: ClipMaker) -> None:
    for kind in ("h264_fields_coded_apart.ts", "h264_fields_with_times.mp4"):
        with av.open(str(clip_of(kind))) as clip:
            n_packets = sum(1 for packet in clip.demux(video=0) if packet.size)
        with av.open(str(clip_of(kind))) as clip:
            n_pictures = sum(1 for _ in clip.decode(video=0))
        assert n_packets == 2 * n_pictures == 128


def test_some_vp9_packets_hold_a_hidden_picture(clip_of: ClipMaker) -> None:
    assert hidden_vp9_pictures(clip_of("vp9.webm")) == 0
    assert hidden_vp9_pictures(clip_of("vp9_hidden_pictures.webm")) > 0
    assert hidden_vp9_pictures(clip_of("vp9_hidden_pictures.mp4")) > 0


def test_a_picture_changes_size_in_mid_stream(clip_of: ClipMaker) -> None:
    with av.open(str(clip_of("size_changes.ts"))) as clip:
        assert {(f.width, f.height) for f in clip.decode(video=0)} == {(256, 192), (320, 240)}


def test_sound_begins_first_and_there_are_two_tracks(clip_of: ClipMaker) -> None:
    for kind in ("sound_begins_first.mp4", "sound_begins_first.ts"):
        with av.open(str(clip_of(kind))) as clip:
            video, sound = clip.streams.video[0], clip.streams.audio[0]
            lead = video.start_time * video.time_base - sound.start_time * sound.time_base
        assert lead > Fraction(9, 10)
    for kind in ("h264_two_sounds.mp4", "h264_two_sounds.mkv", "mpeg2_with_sound.mpg"):
        with av.open(str(clip_of(kind))) as clip:
            assert len(clip.streams.audio) == 2


@pytest.mark.parametrize(
    ("kind", "n_shared"), [("times_repeat.ts", 2), ("times_repeat_among_b_frames.ts", 2)]
)
def test_times_repeat(kind: str, n_shared: int, clip_of: ClipMaker) -> None:
    with av.open(str(clip_of(kind))) as clip:
        times = [packet.pts for packet in clip.demux(video=0) if packet.size]
    assert len(times) - len(set(times)) == n_shared


def test_times_are_negative(clip_of: ClipMaker) -> None:
    with av.open(str(clip_of("negative_times.mov"))) as clip:
        assert min(p.pts for p in clip.demux(video=0) if p.pts is not None) < 0
