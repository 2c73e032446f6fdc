"""Interlaced clips: the lines of each picture come from two moments, as a camera films fields."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

Paint = Callable[[int], NDArray[np.uint8]]
"""Gives the RGB picture of a moment; picture n of the clip holds the moments 2n and 2n + 1."""

_RATE = Fraction(25)
_OPTIONS = {
    "mpeg2video": {"b": "9000000", "flags": "+ildct+ilme"},
    "libx264": {"preset": "veryfast", "crf": "14", "threads": "1", "flags": "+ildct+ilme"},
    "prores_ks": {"flags": "+ildct"},
    "dvvideo": {},
}


def interlaced(paint: Paint, number: int, is_top_first: bool) -> NDArray[np.uint8]:
    """Weave the picture with a number of its two moments."""
    woven = paint(2 * number).copy()
    later = 1 if is_top_first else 0
    woven[later::2] = paint(2 * number + 1)[later::2]
    return woven


def make_interlaced(
    path: Path,
    paint: Paint,
    n_frames: int,
    is_top_first: bool = True,
    codec: str = "mpeg2video",
    container: str | None = None,
    layout: str = "yuv420p",
) -> None:
    """Write an interlaced clip of 25 pictures a second whose pictures say which field is first."""
    height, width = paint(0).shape[:2]
    weave = FieldOrder(width, height, layout, is_top_first)
    with av.open(str(path), "w", format=container) as out:
        stream = out.add_stream(codec, rate=_RATE, options=dict(_OPTIONS[codec]))
        stream.width, stream.height, stream.pix_fmt = width, height, layout
        context = stream.codec_context
        context.time_base = 1 / _RATE
        if codec in {"mpeg2video", "libx264"}:
            context.gop_size, context.max_b_frames = 12, 2
        for number in range(n_frames):
            woven = interlaced(paint, number, is_top_first)
            picture = av.VideoFrame.from_ndarray(woven, format="rgb24")
            # Two fields have a chroma of their own: lines must not be mixed on the way to 4:2:0.
            picture = weave.stated(_by_fields(picture, layout))
            picture.pts, picture.time_base = number, 1 / _RATE
            out.mux(stream.encode(picture))
        out.mux(stream.encode(None))


class FieldOrder:
    """States on pictures which of their fields comes first; PyAV has no other way to."""

    def __init__(self, width: int, height: int, layout: str, is_top_first: bool) -> None:
        self._graph = av.filter.Graph()
        source = self._graph.add_buffer(
            width=width, height=height, format=av.VideoFormat(layout), time_base=1 / _RATE
        )
        node = self._graph.add("setfield", "tff" if is_top_first else "bff")
        sink = self._graph.add("buffersink")
        source.link_to(node)
        node.link_to(sink)
        self._graph.configure()

    def stated(self, picture: av.VideoFrame) -> av.VideoFrame:
        self._graph.vpush(picture)
        found = self._graph.vpull()
        assert found.interlaced_frame
        return found


def _by_fields(woven: av.VideoFrame, layout: str) -> av.VideoFrame:
    """Convert each field by itself and weave them again."""
    rgb = woven.to_ndarray()
    whole = av.VideoFrame(woven.width, woven.height, layout)
    for field in (0, 1):
        half = av.VideoFrame.from_ndarray(np.ascontiguousarray(rgb[field::2]), format="rgb24")
        half = half.reformat(format=layout, threads=1)
        for part, target in zip(half.planes, whole.planes, strict=True):
            _lines(target)[field::2, : part.width * _bytes(layout)] = _lines(part)[
                :, : part.width * _bytes(layout)
            ]
    return whole


def _bytes(layout: str) -> int:
    return 2 if layout.endswith("le") else 1


def _lines(plane: av.video.plane.VideoPlane) -> NDArray[np.uint8]:
    flat: NDArray[np.uint8] = np.frombuffer(memoryview(plane), dtype=np.uint8)
    return flat.reshape(-1, plane.line_size)[: plane.height]
