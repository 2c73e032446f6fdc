"""Clips mutated at random are opened, indexed and sought without a crash or a hang."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from annotate.clip import ClipIndex, ClipReader, build_index
from annotate.errors import UserFacingError

SOURCES = ["b_frames.mp4", "h264_in_pieces.mp4", "hevc_open_groups.ts", "mpeg2.mpg", "mpeg4.avi",
           "wmv2.wmv", "vp9.webm", "h264_without_times.avi", "hevc_10_bit.mkv"]  # fmt: skip
LONGEST_S = 10


def mutated(content: bytes, chance: random.Random) -> bytes:
    """Flip bytes, cut the end off, take a stretch out, or blank one."""
    changed = bytearray(content)
    at = chance.randrange(len(changed))
    length = chance.randrange(1, 20_000)
    match chance.choice(["flip", "cut", "take", "blank"]):
        case "flip":
            for _ in range(chance.choice([1, 10, 200])):
                changed[chance.randrange(len(changed))] ^= chance.randrange(1, 256)
        case "cut":
            del changed[at:]
        case "take":
            del changed[at : at + length]
        case _:
            changed[at : at + length] = bytes(len(changed[at : at + length]))
    return bytes(changed)


def read_some(path: Path, chance: random.Random) -> None:
    """Index a clip and ask for a dozen of its frames; a sentence is a good answer too."""
    try:
        index = build_index(path)
    except UserFacingError:
        return
    ClipIndex.from_bytes(index.to_bytes())
    with ClipReader(path, index) as reader:
        for number in [0, index.n_frames - 1, *chance.choices(range(index.n_frames), k=10)]:
            frame = reader.frame(number)
            assert frame.number == number
            assert frame.fitted(80, 60).shape == (60, 80, 4)


@pytest.mark.parametrize(
    "n_files", [30, pytest.param(500, marks=pytest.mark.soak)], ids=["few", "many"]
)
def test_mutated_clips_neither_crash_nor_hang(
    n_files: int, clip_of: Callable[[str], Path], tmp_path: Path
) -> None:
    for seed in range(n_files):
        chance = random.Random(seed)
        source = clip_of(SOURCES[seed % len(SOURCES)])
        path = tmp_path / f"mutated{source.suffix}"
        path.write_bytes(mutated(source.read_bytes(), chance))
        start = time.monotonic()
        read_some(path, chance)
        assert time.monotonic() - start < LONGEST_S, seed
