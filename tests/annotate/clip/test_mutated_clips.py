"""Clips mutated at random are opened, indexed, played and sought: no crash, no hang, no leak."""

from __future__ import annotations

import gc
import os
import random
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from annotate.clip import ClipIndex, ClipReader, build_index
from annotate.errors import UserFacingError

SOURCES = ["b_frames.mp4", "h264_in_pieces.mp4", "hevc_open_groups.ts", "mpeg2.mpg", "mpeg4.avi",
           "wmv2.wmv", "vp9_hidden_pictures.webm", "h264_without_times.avi", "hevc_10_bit.mkv",
           "prores.mov", "av1.mp4", "mjpeg_with_sound.avi", "h264_with_sound.ts",
           "edit_list.mp4", "h264_fields_in_pairs.ts", "mpeg2.ts.dcm"]  # fmt: skip
LONGEST_S = 10
LEAK_BYTES = 96 << 20
"""What 450 more clips may leave behind: codecs' pools and the allocator's own slack."""

SETTLED = 50
OPEN_FILES = Path("/proc/self/fd")


def mutated(content: bytes, other: bytes, chance: random.Random) -> bytes:
    """Flip bytes, cut the end off, take a stretch out, blank one, or splice."""
    changed = bytearray(content)
    at = chance.randrange(len(changed))
    length = chance.randrange(1, 20_000)
    match chance.choice(["flip", "cut", "take", "blank", "join", "foreign", "swap"]):
        case "flip":
            for _ in range(chance.choice([1, 10, 200])):
                changed[chance.randrange(len(changed))] ^= chance.randrange(1, 256)
        case "cut":
            del changed[at:]
        case "take":
            del changed[at : at + length]
        case "join":
            changed[at:] = other[chance.randrange(len(other)) :]
        case "foreign":
            start = chance.randrange(len(other))
            changed[at : at + length] = other[start : start + length]
        case "swap":
            there = chance.randrange(len(changed))
            first, second = sorted((at, there))
            length = min(length, second - first, len(changed) - second)
            here = changed[first : first + length]
            changed[first : first + length] = changed[second : second + length]
            changed[second : second + length] = here
        case _:
            changed[at : at + length] = bytes(len(changed[at : at + length]))
    return bytes(changed)


def play_and_seek(path: Path, chance: random.Random) -> bool:
    """Index a clip, read a stretch of it forward, and ask for a dozen frames anywhere.

    False if it was refused with a sentence, which is a good answer too.
    """
    try:
        index = build_index(path, partly=lambda _: None)
        ClipIndex.from_bytes(index.to_bytes())
        with ClipReader(path, index) as reader:
            begin = chance.randrange(index.n_frames)
            forward = range(begin, min(begin + 24, index.n_frames))
            anywhere = [0, index.n_frames - 1, *chance.choices(range(index.n_frames), k=10)]
            for number in [*forward, *anywhere]:
                frame = reader.frame(number)
                assert frame.number == number
                assert frame.fitted(80, 60).shape == (60, 80, 4)
    except UserFacingError:
        return False
    return True


def resident_bytes() -> int:
    """Memory that this process holds now; 0 where the system does not say so."""
    statm = Path("/proc/self/statm")
    return int(statm.read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") if statm.exists() else 0


def open_files() -> int:
    return len(list(OPEN_FILES.iterdir())) if OPEN_FILES.exists() else 0


@pytest.mark.parametrize(
    "n_files", [32, pytest.param(500, marks=pytest.mark.soak)], ids=["few", "500"]
)
def test_mutated_clips_neither_crash_nor_hang_nor_leak(
    n_files: int, clip_of: Callable[[str], Path], tmp_path: Path
) -> None:
    contents = [clip_of(name).read_bytes() for name in SOURCES]
    files_before, settled, played, longest = open_files(), 0, 0, 0.0
    for seed in range(n_files):
        chance = random.Random(seed)
        own, other = contents[seed % len(SOURCES)], chance.choice(contents)
        path = tmp_path / f"mutated{Path(SOURCES[seed % len(SOURCES)]).suffix}"
        path.write_bytes(mutated(own, other, chance))
        start = time.monotonic()
        played += play_and_seek(path, chance)
        took = time.monotonic() - start
        longest = max(longest, took)
        assert took < LONGEST_S, seed
        if seed == SETTLED:
            gc.collect()
            settled = resident_bytes()
    gc.collect()
    grown = resident_bytes() - settled if settled else 0
    print(
        f"\n{n_files} files: {played} played, {n_files - played} refused in a sentence; longest "
        f"{longest:.2f} s; memory {grown / 2**20:+.1f} MiB since file {SETTLED}; "
        f"open files {files_before} before, {open_files()} after"
    )
    assert played > n_files // 2
    assert grown < LEAK_BYTES
    assert open_files() <= files_before
