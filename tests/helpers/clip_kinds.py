"""The kinds of numbered clip that clip reading is tried on."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from dicom_clips import wrap
from field_clips import make_field_clip
from numbered_clips import jittered_times, make_clip, remux, retime, shift_edit_list
from pydicom.uid import HEVCM10P51, MPEG2MPHLF, MPEG4HP41F

OPEN_H264 = {"x264-params": "open-gop=1:keyint=24:min-keyint=24:scenecut=0:bframes=3:b-adapt=0"}
OPEN_HEVC = {
    "x265-params": "log-level=none:pools=1:open-gop=1:keyint=24:min-keyint=24:scenecut=0"
    ":bframes=3:b-adapt=0"
}
FIELDS = {"x264-params": "tff=1:interlaced=1"}
"""Frames whose two fields were taken one after the other, each pair of macroblocks as it suits."""

HIDDEN_VP9 = {"lag-in-frames": "16", "auto-alt-ref": "1"}
"""Some packets hold a picture more, which is referred to and never shown."""

_SYNTAXES = {"h264": MPEG4HP41F, "mpeg2": MPEG2MPHLF, "hevc": HEVCM10P51}
N_FRAMES = 64
SIZE = {"n_frames": N_FRAMES, "width": 256, "height": 192}
TV = {"codec": "mpeg2video", "gop": 12, "b_frames": 2, "time_base": Fraction(1, 30)}
IN_TENTHS = {"time_base": Fraction(1, 30), "fps": Fraction(30)}

RECIPES: dict[str, dict[str, Any]] = {
    "b_frames.mp4": {},
    "variable_rate.mp4": {"times": jittered_times(N_FRAMES, 1)},
    "variable_rate.mkv": {"times": jittered_times(N_FRAMES, 2, 33),
                          "time_base": Fraction(1, 1000)},
    "start_offset.mkv": {"start_ticks": 60_000},
    "start_offset.ts": {"start_ticks": 90_000},
    "edit_list.mp4": {"start_ticks": -6_000},
    "turned_90.mp4": {"rotation_deg": 90},
    "turned_180.mp4": {"rotation_deg": 180},
    "turned_270.mov": {"rotation_deg": 270},
    "mirrored.mp4": {"is_mirrored": True},
    "mirrored_turned_90.mov": {"is_mirrored": True, "rotation_deg": 90},
    "mirrored_turned_180.mp4": {"is_mirrored": True, "rotation_deg": 180},
    "wide_pixels.mp4": {"sample_aspect": Fraction(64, 45)},
    "tall_pixels.mp4": {"sample_aspect": Fraction(8, 9)},
    "h264_without_times.avi": IN_TENTHS,
    "h264_open_groups.ts": {"options": OPEN_H264},
    "h264_open_groups.mp4": {"options": OPEN_H264},
    "h264_open_groups.mkv": {"options": OPEN_H264},
    "h264_10_bit.mp4": {"pix_fmt": "yuv420p10le"},
    "h264_intra_refresh.ts": {
        "options": {"x264-params": "intra-refresh=1:keyint=24"}, "b_frames": 0
    },
    "h264_one_group.mp4": {"gop": 1000},
    "h264_in_pieces.mp4": {"muxer_options": {"movflags": "frag_keyframe+empty_moov"}},
    "h264_with_sound.ts": {"audio": True},
    "h264_two_sounds.mp4": {"audio": True, "audio_tracks": 2},
    "h264_two_sounds.mkv": {"audio": True, "audio_tracks": 2},
    "sound_begins_first.mp4": {"audio": True, "audio_lead": 30, "start_ticks": 30_000},
    "sound_begins_first.ts": {"audio": True, "audio_lead": 30, "start_ticks": 30_000},
    "negative_times.mkv": {"start_ticks": -15_000,
                           "muxer_options": {"avoid_negative_ts": "disabled"}},
    "negative_times.mov": {"start_ticks": -15_000, "muxer_options": {
        "avoid_negative_ts": "disabled", "movflags": "frag_keyframe+empty_moov+delay_moov"}},
    "portrait.mp4": {"width": 192, "height": 256},
    "h264_fields_in_pairs.mp4": {"options": FIELDS},
    "h264_fields_in_pairs.ts": {"options": FIELDS},
    "hevc.mp4": {"codec": "libx265"},
    "hevc_open_groups.mp4": {"codec": "libx265", "options": OPEN_HEVC},
    "hevc_open_groups.ts": {"codec": "libx265", "options": OPEN_HEVC},
    "hevc_10_bit.mp4": {"codec": "libx265", "pix_fmt": "yuv420p10le"},
    "hevc_10_bit.mkv": {"codec": "libx265", "pix_fmt": "yuv420p10le"},
    "mpeg2.ts": TV,
    "mpeg2.mpg": {**TV, "container": "vob"},
    "mpeg2_interlaced.mpg": {**TV, "container": "vob",
                             "options": {"b": "3000000", "flags": "+ildct+ilme"}},
    "mpeg2_interlaced.ts": {**TV, "options": {"b": "3000000", "flags": "+ildct+ilme"}},
    "mpeg2_with_sound.mpg": {**TV, "container": "vob", "audio": True, "audio_codec": "mp2",
                             "audio_tracks": 2},
    "mpeg4.avi": {"codec": "mpeg4", "b_frames": 2, **IN_TENTHS},
    "mpeg4.mp4": {"codec": "mpeg4", "b_frames": 2, **IN_TENTHS},
    "mpeg4.mkv": {"codec": "mpeg4", "b_frames": 2, **IN_TENTHS},
    "mjpeg.avi": {"codec": "mjpeg", "pix_fmt": "yuvj420p", "b_frames": 0, **IN_TENTHS},
    "mjpeg_with_sound.avi": {"codec": "mjpeg", "pix_fmt": "yuvj420p", "b_frames": 0, "audio": True,
                             "audio_codec": "mp2", **IN_TENTHS},
    "wmv1.wmv": {"codec": "wmv1", "b_frames": 0, **IN_TENTHS},
    "wmv2_with_sound.wmv": {"codec": "wmv2", "b_frames": 0, "audio": True, "audio_codec": "wmav2",
                            **IN_TENTHS},
    "wmv2.wmv": {"codec": "wmv2", "b_frames": 0, **IN_TENTHS},
    "prores.mov": {"codec": "prores_ks", "pix_fmt": "yuv422p10le", "b_frames": 0},
    "vp9.webm": {"codec": "libvpx-vp9", "b_frames": 0, "options": {"lag-in-frames": "0"}},
    "prores_interlaced.mov": {"codec": "prores_ks", "pix_fmt": "yuv422p10le", "b_frames": 0,
                              "options": {"flags": "+ildct"}},
    "vp9_hidden_pictures.webm": {"codec": "libvpx-vp9", "b_frames": 0, "options": HIDDEN_VP9},
    "vp9_hidden_pictures.mp4": {"codec": "libvpx-vp9", "b_frames": 0, "options": HIDDEN_VP9},
    "av1.mkv": {"codec": "libsvtav1", "b_frames": 0, "time_base": Fraction(1, 1000)},
    "av1_10_bit.mp4": {"codec": "libsvtav1", "b_frames": 0, "pix_fmt": "yuv420p10le"},
    "av1.mp4": {"codec": "libsvtav1", "b_frames": 0},
    "h264.mp4.dcm": {"times": jittered_times(N_FRAMES, 3)},
    "h264.h264.dcm": IN_TENTHS,
    "mpeg2.ts.dcm": TV,
    "hevc.mp4.dcm": {"codec": "libx265", "pix_fmt": "yuv420p10le"},
}  # fmt: skip
"""Kinds of clip by file name, as changes to the helper's recipe."""

Maker = Callable[[Path], list[int]]
"""Writes a clip that no single recipe gives, and says what its pictures show, in order."""


def _joined(*changes: dict[str, Any]) -> Maker:
    """Transport streams one after the other in one file, numbered on."""

    def make(path: Path) -> list[int]:
        number, content = 0, b""
        for part in changes:
            recipe = {**SIZE, "n_frames": 32, **part, "first_number": number}
            make_clip(path.with_suffix(".part.ts"), **recipe)
            content += path.with_suffix(".part.ts").read_bytes()
            number += recipe["n_frames"]
        path.with_suffix(".part.ts").unlink()
        path.write_bytes(content)
        return list(range(number))

    return make


def _with_times(change: Callable[[int, int], int], **recipe: Any) -> Maker:
    """A clip whose pictures' times, in ticks, are changed after encoding by `change(n, time)`."""

    def make(path: Path) -> list[int]:
        whole = path.with_suffix(f".whole{path.suffix}")
        times = make_clip(whole, **{**SIZE, **recipe})
        retime(whole, path, {time: change(n, time) for n, time in enumerate(times)})
        whole.unlink()
        return list(range(len(times)))

    return make


def _large(**recipe: Any) -> Maker:
    """A few pictures of 3840x2160."""

    def make(path: Path) -> list[int]:
        size = {"width": 3840, "height": 2160, "grain": 20, "n_frames": 9, "gop": 4}
        make_clip(path, **{**size, **recipe})
        return list(range(9))

    return make


def _hidden_group(path: Path) -> list[int]:
    """An edit list that begins inside the second group."""
    make_clip(path, **SIZE)
    shift_edit_list(path, 30 * 1000)
    return list(range(30, N_FRAMES))


def _cut_in_mid_stream(path: Path) -> list[int]:
    """A transport stream that begins with pictures which refer to lost ones."""
    make_clip(path.with_suffix(".whole.ts"), **SIZE)
    remux(path.with_suffix(".whole.ts"), path, keep=lambda ordinal, _: ordinal >= 20)
    path.with_suffix(".whole.ts").unlink()
    return list(range(24, N_FRAMES))


MAKERS: dict[str, Maker] = {
    "clock_starts_again.ts": _joined({"start_ticks": 600_000}, {}),
    "clock_falls_a_little.ts": _joined({"start_ticks": 600_000}, {"start_ticks": 626_000}),
    "clock_jumps_ahead.ts": _joined({}, {"start_ticks": 3_600_000}),
    "clock_starts_again.mpg": _joined({**TV, "container": "vob", "start_ticks": 600},
                                      {**TV, "container": "vob"}),
    "size_changes.ts": _joined({"b_frames": 0}, {"b_frames": 0, "width": 320, "height": 240,
                                                 "start_ticks": 32_000}),
    "depth_changes.ts": _joined({"codec": "libx265", "b_frames": 0},
                                {"codec": "libx265", "b_frames": 0, "start_ticks": 32_000,
                                 "pix_fmt": "yuv420p10le"}),
    "times_repeat.ts": _with_times(lambda n, t: t + 1000 if n in {20, 41} else t, b_frames=0),
    "times_repeat.mkv": _with_times(lambda n, t: t + 1000 if n in {20, 41} else t, b_frames=0),
    "times_repeat_among_b_frames.ts": _with_times(lambda n, t: t - 1000 if n in {21, 39} else t),
    "h264_fields_coded_apart.ts": lambda path: make_field_clip(path, N_FRAMES, fields_apart=False),
    "h264_fields_with_times.ts": lambda path: make_field_clip(path, N_FRAMES, fields_apart=True),
    "h264_fields_coded_apart.mp4": lambda path: make_field_clip(path, N_FRAMES, fields_apart=False),
    "h264_fields_with_times.mp4": lambda path: make_field_clip(path, N_FRAMES, fields_apart=True),
    "h264_4k.mp4": _large(),
    "hevc_10_bit_4k.mkv": _large(codec="libx265", pix_fmt="yuv420p10le"),
    "edit_list_in_a_group.mp4": _hidden_group,
    "cut_in_mid_stream.ts": _cut_in_mid_stream,
}  # fmt: skip
"""Kinds that are made in more than one step."""

KINDS = (*RECIPES, *MAKERS)
FIRST_SHOWN = {"edit_list.mp4": 6}
"""Number in the first shown picture of a recipe, where it isn't 0."""


def make_kind(path: Path) -> list[int]:
    """Write the clip of the kind that a path is named after; one in DICOM in three fragments.

    Returns
    -------
    list of int
        What its pictures show, in order.
    """
    name = path.name
    if name in MAKERS:
        return MAKERS[name](path)
    recipe = {**SIZE, **RECIPES[name]}
    if path.suffix == ".dcm":
        with TemporaryDirectory() as folder:
            stream = Path(folder) / path.stem
            make_clip(stream, **recipe)
            wrap(stream, path, 3, _SYNTAXES[name.split(".")[0]])
    else:
        make_clip(path, **recipe)
    return list(range(FIRST_SHOWN.get(name, 0), N_FRAMES))
