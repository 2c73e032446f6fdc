"""How many pictures a decoder may hold of its own, by the standards' own tables."""

from __future__ import annotations

from pathlib import Path

import pytest
from numbered_clips import make_clip

from annotate.clip import build_index
from annotate.clip.decoder_memory import n_references, own_bytes
from annotate.clip.decoding import PictureDecoder


@pytest.mark.parametrize(
    ("codec", "level", "size", "n"),
    [
        # ITU-T H.264, annex A: MaxDpbFrames; examples that are often printed beside table A-1
        # (from memory): 4 of 1920x1080 at level 4, 9 of 1280x720 at level 4, 5 of 4096x2304 at 5.1.
        ("h264", 40, (1920, 1080), 4), ("h264", 40, (1280, 720), 9),
        ("h264", 51, (4096, 2304), 5), ("h264", 51, (1920, 1080), 16),
        ("h264", 52, (4096, 2160), 5), ("h264", -99, (1920, 1080), 16),
        # ITU-T H.265, A.4.2: 6 at the largest size of a level, 16 from a quarter of it down.
        ("hevc", 120, (1920, 1080), 6), ("hevc", 153, (3840, 2160), 6),
        ("hevc", 153, (1920, 1080), 16), ("mpeg2video", 4, (1920, 1080), 2),
        ("mjpeg", -99, (1920, 1080), 0), ("wmv2", -99, (640, 480), 2),
    ],
)  # fmt: skip
def test_references_follow_from_the_level_and_the_size(
    codec: str, level: int, size: tuple[int, int], n: int
) -> None:
    assert n_references(codec, level, *size) == n


@pytest.mark.parametrize(
    ("name", "codec"), [("a.mp4", "libx264"), ("b.mp4", "libx265"), ("c.ts", "mpeg2video")]
)
def test_a_decoder_uses_no_more_pictures_than_are_set_aside(
    name: str, codec: str, tmp_path: Path
) -> None:
    """Counted by the places in memory at which pictures come out."""
    path = tmp_path / name
    make_clip(path, n_frames=90, width=640, height=480, gop=30, codec=codec, b_frames=2)
    index = build_index(path)
    decoder = PictureDecoder(path, index)
    one = index.shape.coded_width * index.shape.coded_height * 3 // 2
    places: set[int] = set()
    for key in index.key_ordinals:
        decoder.restart(int(key))
        for _ in range(40):
            places.update(p.planes[0].buffer_ptr for _, p in decoder.advance())
    assert len(places) > 1
    assert len(places) * one <= own_bytes(decoder.context, index.shape) - (8 << 20)
    decoder.close()
