"""The kinds of numbered clip that clip reading is tried on."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from dicom_clips import wrap
from numbered_clips import jittered_times, make_clip
from pydicom.uid import HEVCM10P51, MPEG2MPHLF, MPEG4HP41F

OPEN_H264 = {"x264-params": "open-gop=1:keyint=24:min-keyint=24:scenecut=0:bframes=3:b-adapt=0"}
OPEN_HEVC = {
    "x265-params": "log-level=none:pools=1:open-gop=1:keyint=24:min-keyint=24:scenecut=0"
    ":bframes=3:b-adapt=0"
}
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
    "hevc.mp4": {"codec": "libx265"},
    "hevc_open_groups.mp4": {"codec": "libx265", "options": OPEN_HEVC},
    "hevc_open_groups.ts": {"codec": "libx265", "options": OPEN_HEVC},
    "hevc_10_bit.mkv": {"codec": "libx265", "pix_fmt": "yuv420p10le"},
    "mpeg2.ts": TV,
    "mpeg2.mpg": {**TV, "container": "vob"},
    "mpeg2_interlaced.mpg": {**TV, "container": "vob",
                             "options": {"b": "3000000", "flags": "+ildct+ilme"}},
    "mpeg4.avi": {"codec": "mpeg4", "b_frames": 2, **IN_TENTHS},
    "mpeg4.mp4": {"codec": "mpeg4", "b_frames": 2, **IN_TENTHS},
    "mjpeg.avi": {"codec": "mjpeg", "pix_fmt": "yuvj420p", "b_frames": 0, **IN_TENTHS},
    "wmv2.wmv": {"codec": "wmv2", "b_frames": 0, **IN_TENTHS},
    "prores.mov": {"codec": "prores_ks", "pix_fmt": "yuv422p10le", "b_frames": 0},
    "vp9.webm": {"codec": "libvpx-vp9", "b_frames": 0},
    "av1.mp4": {"codec": "libsvtav1", "b_frames": 0},
    "h264.mp4.dcm": {"times": jittered_times(N_FRAMES, 3)},
    "h264.h264.dcm": IN_TENTHS,
    "mpeg2.ts.dcm": TV,
    "hevc.mp4.dcm": {"codec": "libx265", "pix_fmt": "yuv420p10le"},
}  # fmt: skip
"""Kinds of clip by file name, as changes to the helper's recipe."""


def make_kind(path: Path) -> None:
    """Write the clip of the kind that a path is named after; one in DICOM in three fragments."""
    recipe = {**SIZE, **RECIPES[path.name]}
    if path.suffix != ".dcm":
        make_clip(path, **recipe)
        return
    with TemporaryDirectory() as folder:
        stream = Path(folder) / path.stem
        make_clip(stream, **recipe)
        wrap(stream, path, 3, _SYNTAXES[path.name.split(".")[0]])


FIRST_SHOWN = {"edit_list.mp4": 6}
"""Number in the first shown picture, where it isn't 0."""
