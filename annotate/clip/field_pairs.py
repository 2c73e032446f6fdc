"""Pictures that come as two packets, one a field, as H.264 may code an interlaced picture."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from annotate.clip.decoded_order import decoded_ordinals
from annotate.clip.packets import HIDDEN, KEY, UNKNOWN, PacketTable
from annotate.clip.stopping import Cancel

_TRIED = 48
_MARGIN = 24
"""Packets decoded beyond those that are judged: pictures come out of the decoder later."""

_FEW = 0.2


def without_pictures(table: PacketTable, those: NDArray[np.bool_]) -> PacketTable:
    """Mark packets as decoded and not shown; decoding does not begin at them either."""
    flags = np.where(those, (table.flags | HIDDEN) & ~np.uint8(KEY), table.flags)
    return replace(table, flags=flags.astype(np.uint8))


class FieldPairs:
    """Finds the packets that hold the second field of a picture, and so are none of their own.

    The first packets are decoded, once, to learn which of them give a picture.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._is_known = False
        self._are_pictures = True
        self._are_timeless = False

    def can_tell(self, table: PacketTable) -> bool:
        """Whether the beginning of a clip is long enough to learn from."""
        return self._is_known or len(table) >= _TRIED + _MARGIN

    def hidden(self, table: PacketTable, cancel: Cancel = None) -> PacketTable | None:
        """Mark second fields as packets that are decoded and not shown.

        Returns
        -------
        PacketTable or None
            The table itself where each packet is a picture; None where only decoding the whole clip
            tells which packets belong together.
        """
        if not self._is_known:
            self._try(table, cancel)
        if self._are_pictures:
            return table
        if not self._are_timeless:
            return None
        return without_pictures(table, table.pts == UNKNOWN)

    def _try(self, table: PacketTable, cancel: Cancel) -> None:
        tried = np.arange(min(_TRIED, max(0, len(table) - _MARGIN)))
        stop = min(len(table), _TRIED + _MARGIN)
        came_out = np.isin(tried, decoded_ordinals(self._path, table, 0, stop, cancel))
        silent = ~came_out & ~table.is_hidden[tried]
        self._are_pictures = bool(silent.sum() <= _FEW * len(tried))
        self._are_timeless = bool(((table.pts[tried] == UNKNOWN) == silent).all())
        self._is_known = len(tried) == _TRIED
