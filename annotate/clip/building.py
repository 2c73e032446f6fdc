"""Making the index of a clip: one pass over its packets, or none where the header tells it all."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

from annotate.clip.boxes import promised_bytes
from annotate.clip.damage import find_damage
from annotate.clip.decoded_order import (
    order_by_decoding,
    undecodable_lead,
    undecodable_tail,
    untangled,
    without,
)
from annotate.clip.field_pairs import FieldPairs, without_pictures
from annotate.clip.index import ClipIndex
from annotate.clip.opening import OpenedClip, first_picture, open_clip
from annotate.clip.ordering import DisplayOrder, order_by_times
from annotate.clip.packets import CORRUPT, PacketScan, PacketTable, VideoPacket
from annotate.clip.sample_tables import may_have_table, table_of_header
from annotate.clip.shape import PictureShape
from annotate.clip.stopping import Cancel, Progress
from annotate.clock import US_PER_S, short_time, shown
from annotate.errors import UserFacingError

Partly = Callable[[ClipIndex], None] | None
"""Given an index of the frames found so far."""

_FIRST_AFTER_S = 0.3
_LONGER_EACH_TIME = 1.5


def build(path: Path, progress: Progress, cancel: Cancel, partly: Partly) -> ClipIndex:
    """Index a clip; see `annotate.clip.index.build_index`."""
    began = time.monotonic()
    with open_clip(path) as clip:
        if not may_have_table(clip):
            return _read_through(clip, began, progress, cancel, partly)
        table = table_of_header(clip, cancel)
        if table is not None:
            clip.container.seek(int(table.pts[0]), stream=clip.stream)
            picture = first_picture(clip)
            shape = PictureShape.of(clip.stream, picture, clip.stated_aspect)
            pairs = FieldPairs(path) if _may_be_fields(clip, picture) else None
            return _whole(clip, table, shape, False, {}, pairs, cancel)
    with open_clip(path) as clip:
        return _read_through(clip, began, progress, cancel, partly)


def _read_through(
    clip: OpenedClip, began: float, progress: Progress, cancel: Cancel, partly: Partly
) -> ClipIndex:
    scan, first = PacketScan(clip), _FirstPicture(clip)
    growth = None if partly is None else _Growth(clip, scan, first, began, partly)
    scan.run(progress, cancel, first.is_wanted, None if growth is None else growth.look)
    lead = {} if growth is None else growth.lead
    return _whole(clip, scan.table(), first.shape(), scan.broke_off, lead, first.pairs, cancel)


def _may_be_fields(clip: OpenedClip, picture: av.VideoFrame) -> bool:
    return bool(picture.interlaced_frame) and clip.stream.codec_context.name == "h264"


class _FirstPicture:
    """The first picture that comes of decoding, found in passing."""

    def __init__(self, clip: OpenedClip) -> None:
        self._clip = clip
        self._shape: PictureShape | None = None
        self.pairs: FieldPairs | None = None

    def is_wanted(self, packet: VideoPacket) -> bool:
        """Decode a packet; False once there is a picture."""
        try:
            pictures = self._clip.stream.codec_context.decode(packet)
        except av.FFmpegError:
            return True
        if pictures:
            clip = self._clip
            self._shape = PictureShape.of(clip.stream, pictures[0], clip.stated_aspect)
            self.pairs = FieldPairs(clip.path) if _may_be_fields(clip, pictures[0]) else None
        return self._shape is None

    @property
    def is_found(self) -> bool:
        """Whether there is a picture yet."""
        return self._shape is not None

    def shape(self) -> PictureShape:
        """Its shape, or a sentence that there is none."""
        if self._shape is not None:
            return self._shape
        with open_clip(self._clip.path) as again:
            return PictureShape.of(again.stream, first_picture(again), again.stated_aspect)


class _Growth:
    """Indexes of the beginning of a clip while the rest is still being read.

    A frame is given out only when a later group of pictures shows that nothing more comes before
    it: its number and time stay.
    """

    def __init__(
        self,
        clip: OpenedClip,
        scan: PacketScan,
        first: _FirstPicture,
        began: float,
        partly: Callable[[ClipIndex], None],
    ) -> None:
        self._clip, self._scan, self._first, self._partly = clip, scan, first, partly
        self._began = began
        self._due = began + _FIRST_AFTER_S
        self._n_given = 0
        self.lead: dict[str, set[int]] = {}

    def look(self) -> None:
        """Give an index out if it is time to."""
        if time.monotonic() < self._due or not self._first.is_found:
            return
        index = self._sure()
        if index is not None and index.n_frames > self._n_given:
            self._n_given = index.n_frames
            self._partly(index)
        passed = time.monotonic() - self._began
        self._due = self._began + max(passed + _FIRST_AFTER_S, passed * _LONGER_EACH_TIME)

    def _sure(self) -> ClipIndex | None:
        clip, table = self._clip, self._scan.table()
        keys = table.is_key.nonzero()[0]
        time_base, container, codec = _facts(clip)
        if len(keys) < 3:
            return None
        pairs = self._first.pairs
        if pairs is not None and not pairs.can_tell(table):
            return None
        paired = table if pairs is None else pairs.hidden(table)
        if paired is None:
            return None
        table = paired
        order = order_by_times(table, container, codec, time_base)
        if order is None or order.is_shared.any():
            return None
        order = without(order, _lead(clip, table, order, self.lead, None), table)
        cut = int(keys[-2])
        n = int((order.ordinals < cut).sum())
        if n < 1 or n >= len(order.ordinals) or (order.ordinals[:n] >= cut).any():
            return None
        order = replace(
            order, ordinals=order.ordinals[:n], ticks=order.ticks[:n],
            end_tick=int(order.ticks[n]), is_shared=order.is_shared[:n],
        )  # fmt: skip
        index = _index(clip, table.first(cut), order, self._first.shape())
        return replace(index, is_partial=True)


def _facts(clip: OpenedClip) -> tuple[Fraction, str, str]:
    """Time base, container and codec."""
    time_base = Fraction(clip.stream.time_base or Fraction(1, US_PER_S))
    return time_base, clip.container.format.name, clip.stream.codec_context.name


def _lead(
    clip: OpenedClip,
    table: PacketTable,
    order: DisplayOrder,
    known: dict[str, set[int]],
    cancel: Cancel,
) -> set[int]:
    """What cannot be decoded at the beginning, found out once."""
    if "lead" not in known:
        known["lead"] = undecodable_lead(clip.path, table, order, cancel)
    return known["lead"]


def _whole(
    clip: OpenedClip,
    table: PacketTable,
    shape: PictureShape,
    broke_off: bool,
    lead: dict[str, set[int]],
    pairs: FieldPairs | None,
    cancel: Cancel,
) -> ClipIndex:
    time_base, container, codec = _facts(clip)
    path, stream = clip.path, clip.stream
    is_short = broke_off or clip.is_cut or _is_cut_short(path, table)
    paired = table if pairs is None else pairs.hidden(table, cancel)
    table = table if paired is None else paired
    order = None if paired is None else order_by_times(table, container, codec, time_base)
    if order is None:
        rate = Fraction(stream.average_rate or stream.guessed_rate or 25)
        order = order_by_decoding(path, table, round(1 / rate / time_base), cancel)
    else:
        hidden = _lead(clip, table, order, lead, cancel)
        if is_short:
            hidden = hidden | undecodable_tail(path, table, order, cancel)
        order = without(order, hidden, table)
        if order.is_shared.any():
            order = untangled(path, table, order, cancel)
    if order is None:
        raise UserFacingError(
            f"{shown(path.name, 80)} holds no picture that can be shown.",
            "Copy it from the recorder again.",
        )
    if paired is None:
        table = without_pictures(table, ~np.isin(np.arange(len(table)), order.ordinals))
    index = _index(clip, table, order, shape)
    return replace(index, damage=_damage_sentence(path, index)) if is_short else index


def _index(
    clip: OpenedClip, table: PacketTable, order: DisplayOrder, shape: PictureShape
) -> ClipIndex:
    time_base, container, codec = _facts(clip)
    return ClipIndex(
        table, order.ordinals, order.ticks, order.end_tick, time_base, shape, codec, container,
        is_order_decoded=order.is_decoded,
        damaged=find_damage(table, order, container, time_base),
    )  # fmt: skip


def _is_cut_short(path: Path, table: PacketTable) -> bool:
    ends_corrupt = len(table) > 0 and bool(table.flags[-1] & CORRUPT)
    return ends_corrupt or promised_bytes(path) > path.stat().st_size


def _damage_sentence(path: Path, index: ClipIndex) -> str:
    return (
        f"{shown(path.name, 80)} breaks off: {index.n_frames} frames can be shown, "
        f"up to {short_time(index.duration_us)}."
    )
