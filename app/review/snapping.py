"""Snapping: a time that is dragged or typed goes to an edge, the playhead or a frame that is near.

Pure functions; all times are case time in microseconds.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

import numpy as np
from numpy.typing import NDArray

from annotate.ids import RowId
from annotate.tags import Comment, Tag

Edges = NDArray[np.int64]


def edges_of(
    rows: Iterable[Tag | Comment],
    skip_ids: Collection[RowId] = (),
    playhead_us: int | None = None,
) -> Edges:
    """Times worth snapping to: starts and ends of rows, and the playhead.

    Parameters
    ----------
    skip_ids : collection of RowId
        Rows that are being moved; a tag does not snap to itself.
    playhead_us : int or None
        None where the playhead goes with the pointer and is no place of its own.

    Returns
    -------
    ndarray of int64, shape (n,)
        In order, each time once.
    """
    skipped = frozenset(skip_ids)
    times = [] if playhead_us is None else [playhead_us]
    for row in rows:
        if row.id not in skipped:
            times.append(row.start_us)
            if row.end_us is not None:
                times.append(row.end_us)
    return np.unique(np.asarray(times, dtype=np.int64))


def snapped(time_us: int, edges: Edges, within_us: int) -> int:
    """The nearest edge, if one lies no farther than `within_us`; else the time itself.

    Parameters
    ----------
    edges : ndarray of int64, shape (n,)
        In order. Of two that are equally near, the earlier one is taken.
    within_us : int
        How far an edge reaches; what a few pixels are at the timeline's zoom.
    """
    place = int(np.searchsorted(edges, time_us))
    near = [int(edge) for edge in edges[max(place - 1, 0) : place + 1]]
    best = min(near, key=lambda edge: abs(edge - time_us), default=None)
    return time_us if best is None or abs(best - time_us) > within_us else best


def snapped_to_frame(time_us: int, shown_from_us: int, shown_until_us: int) -> int:
    """The nearer one of the moments at which the frame shown at a time comes and goes.

    Parameters
    ----------
    shown_from_us, shown_until_us : int
        The frame's own time and the next one's, as the clip has them.
    """
    is_late = time_us - shown_from_us > shown_until_us - time_us
    return shown_until_us if is_late else shown_from_us
