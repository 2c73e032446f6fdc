"""A clip's packets by reading it through, whatever its header says."""

from __future__ import annotations

from pathlib import Path

from annotate.clip.opening import open_clip
from annotate.clip.packets import PacketScan, PacketTable


def scanned(path: Path) -> PacketTable:
    """Demux all packets."""
    with open_clip(path) as clip:
        scan = PacketScan(clip)
        scan.run()
        return scan.table()
