"""What of the transport is shown where there is little room. No Qt."""

from __future__ import annotations

from collections.abc import Sequence

SPACING_PX = 2


def groups_shown(
    widths: Sequence[tuple[str, int]], fixed_px: int, room_px: int, order: Sequence[str]
) -> frozenset[str]:
    """Which groups fit.

    Parameters
    ----------
    widths : sequence of (str, int)
        Name and width of each group.
    fixed_px : int
        What is always shown takes.
    order : sequence of str
        Groups from the one that is wanted most to the one that goes first.
    """
    by_name = dict(widths)
    left, kept = room_px - fixed_px, set()
    for name in order:
        needed = by_name.get(name, 0) + SPACING_PX
        if needed > left:
            break
        kept.add(name)
        left -= needed
    return frozenset(kept)
