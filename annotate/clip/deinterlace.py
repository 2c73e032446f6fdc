"""Interlaced pictures as shown: one whole picture for each of the two moments they hold.

The missing lines of a field are made from the field itself and from its neighbours in time by
libavfilter's bwdif, after the Weston three-field filter of the BBC. The picture made depends on the
coded picture and the one on either side of it, and on nothing else: it is the same after a seek, a
step and in play.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import av
import numpy as np
from numpy.typing import NDArray

from annotate.clip.frame import Frame

FIRST, SECOND = 0, 1
"""Fields in the order of time."""

_FIELD_CODED = {"hevc"}
"""Encodings whose interlaced pictures come as single fields, each a picture of its own."""

_PARITY = {None: "auto", True: "tff", False: "bff"}
_MOST_THREADS = 2
_ANY_RATE = Fraction(1, 25)
"""The filter counts pictures; what their times are makes no difference to it."""

Neighbour = Callable[[int], av.VideoFrame | None]
"""Gives the coded picture with a number, or None where there is none or it is damaged."""


def holds_fields(picture: av.VideoFrame, codec: str) -> bool:
    """Tell whether a coded picture is two fields in each other's gaps."""
    return bool(picture.interlaced_frame) and codec not in _FIELD_CODED


def by_itself(frame: Frame, codec: str) -> Frame:
    """Make a frame whole without its neighbours, from its first field; itself if it is whole.

    For pictures that pass by quickly: what stands still loses every other line.
    """
    if not holds_fields(frame.picture, codec):
        return frame
    coded = _planar(frame.picture)
    return replace(frame, picture=_tagged_like(_alone(coded, FIRST), coded))


class Deinterlacer:
    """Makes whole pictures of fields; quick while the numbers asked for go up by one.

    One lives in one thread. It keeps the filter's last two pictures and what was made last.
    """

    def __init__(self) -> None:
        self._filter: _Filter | None = None
        self._held: tuple[int, int] = (-1, -1)
        self._asked = FIRST
        self._made: tuple[int, list[av.VideoFrame]] = (-1, [])

    def close(self) -> None:
        """Let go of the pictures held."""
        self._start_with(None)

    def shown(
        self, number: int, coded: av.VideoFrame, neighbour: Neighbour, field: int = FIRST
    ) -> av.VideoFrame:
        """Make the whole picture of one field of a coded picture.

        Parameters
        ----------
        coded : VideoFrame
            The picture with that number; it is not changed.
        neighbour : callable
            Asked for the numbers before and after. Where it has none on one side, or one of another
            size or format, the one on the other side stands there: time is mirrored, so that
            motion is still seen.
        field : int
            FIRST or SECOND in time.
        """
        coded = _planar(coded)
        running = self._running(coded, field)
        made_for, fields = self._made
        if made_for != number:
            fields = self._fields(running, number, coded, neighbour)
        if not fields:
            return _tagged_like(_alone(coded, field), coded)
        return _tagged_like(fields[field], coded)

    def holds(self, number: int) -> bool:
        """Whether a picture and the one before it are held: it is the next one in play."""
        return self._held == (number - 1, number)

    def _fields(
        self, running: _Filter, number: int, coded: av.VideoFrame, neighbour: Neighbour
    ) -> list[av.VideoFrame]:
        """Make the fields that the filter gives; none where a picture has no neighbours."""
        after = _fitting(neighbour(number + 1), coded)
        is_next = self.holds(number) and after is not None
        before = None if is_next else _fitting(neighbour(number - 1), coded)
        found = {number - 1: before, number + 1: after}
        sides = [(n, picture) for n, picture in found.items() if picture is not None]
        if not sides:
            return []
        (first, earlier), (last, later) = sides[0], sides[-1]
        was_held, self._held = self._held, (-1, -1)
        if not is_next and was_held != (first, number):
            running.put(earlier)
            running.put(coded)
        fields = running.put(later)
        self._held, self._made = (number, last), (number, fields)
        return fields

    def _running(self, coded: av.VideoFrame, field: int) -> _Filter:
        """The filter at work; one that makes both fields once the second is asked for.

        It is left again when the first one is asked for twice running: in play, half is enough.
        """
        is_both = field == SECOND or (
            self._filter is not None and self._filter.is_both and self._asked == SECOND
        )
        self._asked = field
        running = self._filter
        if running is None or running.is_both != is_both or not running.fits(coded):
            running = _Filter(coded, is_both)
            self._start_with(running)
        return running

    def _start_with(self, running: _Filter | None) -> None:
        self._filter, self._held, self._made = running, (-1, -1), (-1, [])


class _Filter:
    """A running bwdif: each picture put in gives the fields of the one before it."""

    def __init__(
        self, like: av.VideoFrame, is_both: bool, is_top_first: bool | None = None
    ) -> None:
        self._kind = _kind(like)
        self.is_both = is_both
        self._graph = av.filter.Graph()
        self._graph.threads = _MOST_THREADS
        source = self._graph.add_buffer(
            width=like.width, height=like.height, format=like.format, time_base=_ANY_RATE
        )
        mode = "send_field" if is_both else "send_frame"
        wanted = f"mode={mode}:parity={_PARITY[is_top_first]}:deint=all"
        node, sink = self._graph.add("bwdif", wanted), self._graph.add("buffersink")
        source.link_to(node)
        node.link_to(sink)
        self._graph.configure()

    def fits(self, picture: av.VideoFrame) -> bool:
        """Whether pictures of this size and format can be put in."""
        return _kind(picture) == self._kind

    def put(self, picture: av.VideoFrame) -> list[av.VideoFrame]:
        """Put a picture in and take out what comes."""
        self._graph.vpush(picture)
        found: list[av.VideoFrame] = []
        while True:
            try:
                found.append(self._graph.vpull())
            except BlockingIOError:
                return found


def _alone(coded: av.VideoFrame, field: int) -> av.VideoFrame:
    """One field of a picture that has no neighbours: its missing lines come from itself.

    The filter begins so with the first picture that it is given, in its first field.
    """
    first = _first_of(coded, None)
    return first if field == FIRST else _first_of(coded, not _is_top_first(coded, first))


def _first_of(coded: av.VideoFrame, is_top_first: bool | None) -> av.VideoFrame:
    fresh = _Filter(coded, is_both=False, is_top_first=is_top_first)
    fresh.put(coded)
    return fresh.put(coded)[0]


def _is_top_first(coded: av.VideoFrame, first: av.VideoFrame) -> bool:
    """Tell which field was kept as the first one: its lines are as coded."""
    return bool((_lines(coded)[::2] == _lines(first)[::2]).all())


def _lines(picture: av.VideoFrame) -> NDArray[np.uint8]:
    plane = picture.planes[0]
    flat: NDArray[np.uint8] = np.frombuffer(memoryview(plane), dtype=np.uint8)
    n_bytes = plane.width * (picture.format.components[0].bits + 7 >> 3)
    return flat.reshape(-1, plane.line_size)[: plane.height, :n_bytes]


def _fitting(picture: av.VideoFrame | None, coded: av.VideoFrame) -> av.VideoFrame | None:
    if picture is None:
        return None
    picture = _planar(picture)
    return picture if _kind(picture) == _kind(coded) else None


def _kind(picture: av.VideoFrame) -> tuple[int, int, str]:
    return picture.width, picture.height, picture.format.name


def _planar(picture: av.VideoFrame) -> av.VideoFrame:
    """The same picture in separate planes, which the filter needs."""
    if picture.format.is_planar and len(picture.planes) == len(picture.format.components):
        return picture
    return _tagged_like(picture.reformat(format="yuv422p", threads=1), picture)


def _tagged_like(made: av.VideoFrame, source: av.VideoFrame) -> av.VideoFrame:
    """Give a picture the colour tags of its source, so that it is read in the same way."""
    made.colorspace, made.color_range = source.colorspace, source.color_range
    return made
