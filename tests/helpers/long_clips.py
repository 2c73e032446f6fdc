"""Long clips made cheaply: a short one's packets written again and again with later times."""

from __future__ import annotations

from pathlib import Path

import av


def lengthen(source: Path, target: Path, n_times: int) -> None:
    """Write a clip `n_times` over, end to end; its first packet is a key packet."""
    with av.open(str(source)) as clip:
        origin = clip.streams.video[0]
        kept = [
            (bytes(p), p.pts, p.dts, p.duration, p.is_keyframe)
            for p in clip.demux(origin)
            if p.size
        ]
        time_base = origin.time_base
        shown = sorted(pts for _, pts, _, _, _ in kept)
        length = shown[-1] - shown[0] + (shown[-1] - shown[0]) // max(len(shown) - 1, 1)
        with av.open(str(target), "w") as out:
            stream = out.add_stream_from_template(origin)
            for turn in range(n_times):
                for content, pts, dts, duration, is_key in kept:
                    packet = av.Packet(content)
                    packet.stream, packet.time_base = stream, time_base
                    packet.pts, packet.dts = pts + turn * length, dts + turn * length
                    packet.duration, packet.is_keyframe = duration, is_key
                    out.mux(packet)
