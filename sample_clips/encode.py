"""Writing clips: H.264 in MP4, BT.709, B-frames, closed groups of two seconds, no metadata."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from types import TracebackType

import av
from av.bitstream import BitStreamFilterContext
from av.video.reformatter import ColorRange, Colorspace, Interpolation

from sample_clips.texture import Picture

TICKS_PER_S = 90_000
_BT709 = 1
_LIMITED_RANGE = 1
_DROP_SEI = "filter_units=remove_types=6"


class ClipWriter:
    """Writes frames with explicit times; the file appears when it is complete.

    Parameters
    ----------
    path : Path
        Where the clip goes; written beside it first, then moved.
    size : (int, int)
        Width and height, even numbers.
    fps : float
        Nominal rate; only the group's length depends on it.
    crf : float
        x264's constant quality; larger is coarser.
    preset : str
        x264's speed.
    """

    def __init__(
        self, path: Path, size: tuple[int, int], fps: float, *, crf: float, preset: str = "slow"
    ) -> None:
        self._path, self._part = path, path.with_name(path.name + ".part")
        self._container = av.open(
            str(self._part),
            "w",
            format="mp4",
            options={"movflags": "+faststart", "fflags": "+bitexact"},
        )
        group = max(2, round(2 * fps))
        params = (
            f"keyint={group}:min-keyint={group}:scenecut=0:open-gop=0:bframes=3:b-adapt=2:"
            "threads=2:aq-mode=1:aq-strength=0.8"
        )
        stream = self._container.add_stream(
            "libx264",
            rate=Fraction(round(fps * 1000), 1000),
            options={"preset": preset, "crf": f"{crf:g}", "x264-params": params},
        )
        stream.width, stream.height = size
        stream.pix_fmt = "yuv420p"
        stream.time_base = Fraction(1, TICKS_PER_S)
        context = stream.codec_context
        context.time_base = Fraction(1, TICKS_PER_S)
        context.color_primaries = _BT709
        context.color_trc = _BT709
        context.colorspace = _BT709
        context.color_range = _LIMITED_RANGE
        self._stream = stream
        self._strip: BitStreamFilterContext | None = None

    def write(self, picture: Picture, ticks: int) -> None:
        """Append a picture (blue, green, red) that is shown from `ticks` (1/90000 s) on."""
        frame = av.VideoFrame.from_ndarray(picture, format="bgr24")
        frame = frame.reformat(
            format="yuv420p",
            dst_colorspace=Colorspace.ITU709,
            dst_color_range=ColorRange.MPEG,
            interpolation=Interpolation.BICUBIC | Interpolation.ACCURATE_RND,
        )
        frame.pts, frame.time_base = ticks, Fraction(1, TICKS_PER_S)
        self._mux(frame)

    def _mux(self, frame: av.VideoFrame | None) -> None:
        for packet in self._stream.encode(frame):
            if self._strip is None:
                self._strip = BitStreamFilterContext(_DROP_SEI, self._stream)
            for stripped in self._strip.filter(packet):
                stripped.stream = self._stream
                self._container.mux(stripped)

    def __enter__(self) -> ClipWriter:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if kind is not None:
            self._container.close()
            self._part.unlink(missing_ok=True)
            return
        self._mux(None)
        self._container.close()
        self._part.replace(self._path)
