"""Clips whose pictures carry their own frame number, so that exactness is read from pixels.

Each picture shows a 6 by 4 grid of black and white blocks over its upper left three quarters: 16
bits of number and 8 of checksum, beside a moving texture. Lossy coding, scaling and odd pixel
shapes leave the blocks readable; a picture turned the wrong way fails its checksum.
"""

from __future__ import annotations

import os
import struct
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

av.logging.set_level(None)
os.environ.setdefault("SVT_LOG", "0")  # the AV1 encoder writes to the terminal otherwise

COLUMNS, ROWS = 6, 4
SPAN = 0.75
"""The grid's part of the picture's width and height."""

DARK, BRIGHT = 24, 228


@dataclass(frozen=True)
class Recipe:
    """How a clip is made; the defaults give a small H.264 MP4 with B-frames.

    Attributes
    ----------
    width, height : int
        Of the coded picture.
    times : sequence of int, optional
        Presentation times in ticks of `time_base`, rising; constant rate if left out.
    start_ticks : int
        Added to every time.
    rotation_deg : int
        Written into the display matrix: the shown picture is the coded one turned clockwise by it.
    is_mirrored : bool
        Written there too: left and right of the coded picture change places before the turn.
    first_number : int
        Number in the first picture.
    grain : int
        Pixels are painted in squares of this side: large pictures are made sooner.
    audio_tracks : int
        How many tracks of sound there are, if `audio`.
    audio_lead : int
        How many thirtieths of a second the sound begins before the first picture.
    """

    n_frames: int = 90
    codec: str = "libx264"
    width: int = 320
    height: int = 240
    fps: Fraction = Fraction(30)
    time_base: Fraction = Fraction(1, 30000)
    times: Sequence[int] | None = None
    start_ticks: int = 0
    gop: int = 24
    b_frames: int = 3
    pix_fmt: str = "yuv420p"
    container: str | None = None
    rotation_deg: int = 0
    is_mirrored: bool = False
    sample_aspect: Fraction | None = None
    options: dict[str, str] = field(default_factory=dict)
    muxer_options: dict[str, str] = field(default_factory=dict)
    first_number: int = 0
    grain: int = 1
    audio: bool = False
    audio_tracks: int = 1
    audio_codec: str = "aac"
    audio_lead: int = 0


def paint(number: int, width: int, height: int) -> NDArray[np.uint8]:
    """Draw the picture that carries `number`: (height, width, 3) RGB."""
    x = np.arange(width, dtype=np.float32)
    y = np.arange(height, dtype=np.float32)[:, np.newaxis]
    wave = 110 + 50 * np.sin((x + 3 * number) / 9) * np.cos((y - 2 * number) / 13)
    noise = np.random.default_rng(number).integers(-8, 8, (height, width))
    picture = np.empty((height, width, 3), np.uint8)
    for channel, level in enumerate((wave, wave[::-1], 220 - wave)):
        picture[..., channel] = np.clip(level + noise, 0, 255)
    for bit, value in enumerate(blocks_of(number)):
        top, bottom, left, right = _block(bit, width, height)
        picture[top:bottom, left:right] = BRIGHT if value else DARK
    return picture


def read_number(rgb: NDArray[np.uint8]) -> int | None:
    """Read the number out of a shown picture; None where the blocks make no sense."""
    height, width = rgb.shape[:2]
    bits = []
    for bit in range(COLUMNS * ROWS):
        top, bottom, left, right = _block(bit, width, height)
        inset_y, inset_x = (bottom - top) // 4, (right - left) // 4
        inside = rgb[top + inset_y : bottom - inset_y, left + inset_x : right - inset_x, :3]
        level = inside.mean()
        if 115 < level < 137:
            return None
        bits.append(level > 126)
    value = sum(1 << place for place, bit in enumerate(bits) if bit)
    number, check = value & 0xFFFF, value >> 16
    return number if check == _checksum(number) else None


def make_clip(path: Path, recipe: Recipe | None = None, **changes: object) -> list[int]:
    """Write a numbered clip.

    Returns
    -------
    list of int
        The presentation time of each picture in ticks of the recipe's time base.
    """
    recipe = _with(recipe or Recipe(), changes)
    with av.open(str(path), "w", format=recipe.container, options=recipe.muxer_options) as out:
        stream = _video_stream(out, recipe)
        n_tracks = recipe.audio_tracks if recipe.audio else 0
        sounds = [out.add_stream(recipe.audio_codec, rate=48000) for _ in range(n_tracks)]
        for sound in sounds:
            sound.bit_rate = 64_000
        times = recipe.times if recipe.times is not None else _even_times(recipe)
        shown = [int(t) + recipe.start_ticks for t in times[: recipe.n_frames]]
        for offset in range(-recipe.audio_lead, len(shown)):
            if offset >= 0:
                frame = _frame(recipe, recipe.first_number + offset)
                frame.pts, frame.time_base = shown[offset], recipe.time_base
                out.mux(stream.encode(frame))
            for sound in sounds:
                out.mux(sound.encode(_silence(offset + recipe.audio_lead)))
        for track in (stream, *sounds):
            out.mux(track.encode(None))
    return shown


def make_sound_only(path: Path, seconds: int = 1) -> None:
    """Write a file that holds sound and no picture."""
    with av.open(str(path), "w") as out:
        sound = out.add_stream("aac", rate=48000)
        for offset in range(seconds * 30):
            out.mux(sound.encode(_silence(offset)))
        out.mux(sound.encode(None))


def jittered_times(n_frames: int, seed: int, step: int = 1001) -> list[int]:
    """Rising times with gaps of half to five steps, as a variable-rate recorder leaves them."""
    rng = np.random.default_rng(seed)
    gaps = rng.choice([step // 2, step, step, step, 2 * step, 5 * step], n_frames)
    return [int(t) for t in np.concatenate([[0], np.cumsum(gaps + rng.integers(0, 40, n_frames))])][
        :n_frames
    ]


def remux(source: Path, target: Path, keep: Callable[[int, av.Packet], bool] | None = None) -> None:
    """Copy the video packets into another file, only those for which `keep(ordinal, packet)`."""
    with av.open(str(source)) as clip, av.open(str(target), "w") as out:
        origin = clip.streams.video[0]
        stream = out.add_stream_from_template(origin)
        ordinal = 0
        for packet in clip.demux(origin):
            if packet.size == 0:
                continue
            if keep is None or keep(ordinal, packet):
                packet.stream = stream
                out.mux(packet)
            ordinal += 1


def retime(source: Path, target: Path, times: dict[int, int]) -> None:
    """Copy a clip with other presentation times; keys and values in ticks of 1/30000 s."""
    with av.open(str(source)) as clip, av.open(str(target), "w") as out:
        origin = clip.streams.video[0]
        stream = out.add_stream_from_template(origin)
        scale = Fraction(1, 30000) / origin.time_base
        packets = [packet for packet in clip.demux(origin) if packet.size]
        start = min(packet.pts for packet in packets) - round(min(times) * scale)
        exact = {round(old * scale) + start: new for old, new in times.items()}
        for packet in packets:
            nearest = min(exact, key=lambda old, pts=packet.pts: abs(old - pts))
            packet.pts = round(exact[nearest] * scale) + start
            packet.stream = stream
            out.mux(packet)


def shift_edit_list(path: Path, media_ticks: int) -> None:
    """Make an MP4's edit list begin `media_ticks` later, so that earlier pictures are hidden.

    The one entry of the first `elst` box is patched in place.
    """
    content = bytearray(path.read_bytes())
    at = content.index(b"elst")
    version, entries = content[at + 4], struct.unpack_from(">I", content, at + 8)[0]
    assert version == 0
    assert entries == 1
    length, media, rate = struct.unpack_from(">IiI", content, at + 12)
    moved_ms = media_ticks * 1000 // 30000  # the movie counts in ms, the track in 1/30000 s
    struct.pack_into(">IiI", content, at + 12, length - moved_ms, media + media_ticks, rate)
    path.write_bytes(content)


def _with(recipe: Recipe, changes: dict[str, object]) -> Recipe:
    return Recipe(**{**recipe.__dict__, **changes})  # type: ignore[arg-type]


def _even_times(recipe: Recipe) -> list[int]:
    return [round(n / recipe.fps / recipe.time_base) for n in range(recipe.n_frames)]


def _video_stream(out: av.container.OutputContainer, recipe: Recipe) -> av.video.stream.VideoStream:
    stream = out.add_stream(recipe.codec, rate=recipe.fps, options=_codec_options(recipe))
    stream.width, stream.height, stream.pix_fmt = recipe.width, recipe.height, recipe.pix_fmt
    context = stream.codec_context
    context.gop_size = recipe.gop
    context.max_b_frames = recipe.b_frames
    # MPEG-2 and MPEG-4 carry the rate in the stream and count in its ticks.
    counts_frames = recipe.codec in {"mpeg2video", "mpeg4", "mjpeg", "wmv2", "prores_ks"}
    context.time_base = 1 / recipe.fps if counts_frames else recipe.time_base
    if recipe.sample_aspect is not None:
        context.sample_aspect_ratio = recipe.sample_aspect
    if recipe.rotation_deg or recipe.is_mirrored:
        # FFmpeg's function turns first and mirrors then; a quarter turn comes out the other way.
        turn = recipe.rotation_deg if recipe.is_mirrored else -recipe.rotation_deg
        stream.set_display_rotation(turn, hflip=recipe.is_mirrored)
    return stream


def _codec_options(recipe: Recipe) -> dict[str, str]:
    known = {
        "libx264": {"preset": "veryfast", "crf": "20", "threads": "1"},
        "libx265": {"preset": "ultrafast", "x265-params": "log-level=none:pools=1"},
        "mpeg4": {"qscale": "3"},
        "mpeg2video": {"b": "3000000"},
        "libvpx-vp9": {"deadline": "realtime", "cpu-used": "8", "b": "1500000"},
        "libsvtav1": {"preset": "8", "crf": "12", "svtav1-params": "enable-tf=0"},
        "mjpeg": {"qscale": "3"},
    }
    return {**known.get(recipe.codec, {}), **recipe.options}


def _frame(recipe: Recipe, number: int) -> av.VideoFrame:
    turns = recipe.rotation_deg // 90 % 4
    width, height = (recipe.height, recipe.width) if turns % 2 else (recipe.width, recipe.height)
    grain = recipe.grain
    upright = paint(number, width // grain, height // grain)
    upright = upright.repeat(grain, axis=0).repeat(grain, axis=1)
    coded = np.ascontiguousarray(np.rot90(upright, turns))  # counter-clockwise: undone when shown
    if recipe.is_mirrored:
        coded = np.ascontiguousarray(coded[:, ::-1])
    frame = av.VideoFrame.from_ndarray(coded, format="rgb24")
    return frame.reformat(format=recipe.pix_fmt, threads=1)


def _silence(offset: int) -> av.AudioFrame:
    frame = av.AudioFrame.from_ndarray(np.zeros((1, 1600), np.float32), "fltp", "mono")
    frame.sample_rate, frame.pts, frame.time_base = 48000, offset * 1600, Fraction(1, 48000)
    return frame


def _checksum(number: int) -> int:
    return (number * 167 + 91 + (number >> 8) * 57) & 0xFF


def blocks_of(number: int) -> list[int]:
    """Which blocks are bright in the picture that carries `number`, row by row."""
    value = number | _checksum(number) << 16
    return [value >> place & 1 for place in range(COLUMNS * ROWS)]


def _block(bit: int, width: int, height: int) -> tuple[int, int, int, int]:
    row, column = divmod(bit, COLUMNS)
    cell_x, cell_y = width * SPAN / COLUMNS, height * SPAN / ROWS
    return (
        round(row * cell_y), round((row + 1) * cell_y),
        round(column * cell_x), round((column + 1) * cell_x),
    )  # fmt: skip
