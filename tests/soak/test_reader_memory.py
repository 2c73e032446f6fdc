"""What a reader takes of the process's memory stays within its bound, however it is used."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from numbered_clips import make_clip

ROOT = Path(__file__).parents[2]
BOUND = 256 << 20

USE = """
import random, sys, threading
from annotate.clip import ClipReader, build_index
path, bound, rounds = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])

def resident():
    with open("/proc/self/statm") as file:
        return int(file.read().split()[1]) * 4096

index, chance, most = build_index(path), random.Random(3), 0
with ClipReader(path, index, bound) as reader:
    begun = resident()

    def look():
        global most
        most = max(most, resident() - begun)

    reader.fill(0, 40)
    reader.key_frame(60)
    for number in range(60):
        reader.frame(number)
        look()
    for _ in range(rounds):
        for number in range(index.n_frames):
            reader.frame(number)
            look()
        head = index.n_frames
        while head > 0:
            window = reader.window_before(head)
            reader.focus(head, -1)
            filling = threading.Thread(target=reader.fill, args=(window.start, window.stop - 1))
            filling.start()
            while filling.is_alive():
                look()
                filling.join(0.02)
            for number in reversed(window):
                reader.frame(number)
                look()
            head = window.start
        for _ in range(12):
            at = chance.randrange(index.n_frames)
            for number in range(at, max(0, at - 4), -1):
                reader.frame(number)
                look()
            reader.key_frame(at)
            reader.referenced(at)
            look()
print(most)
"""


@pytest.mark.soak
@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="the system tells no figures")
@pytest.mark.parametrize(("codec", "gop", "b_frames"), [("libx264", 100, 0), ("mpeg2video", 15, 2)])
def test_memory_stays_within_the_bound(codec: str, gop: int, b_frames: int, tmp_path: Path) -> None:
    """All of it: what is kept, the decoders' own, and what the allocator holds on to."""
    clip = tmp_path / "a.mp4"
    make_clip(
        clip, n_frames=300, width=1920, height=1080, grain=5, codec=codec, gop=gop,
        b_frames=b_frames,
    )  # fmt: skip

    def growth(bound: int, rounds: int) -> int:
        done = subprocess.run(
            [sys.executable, "-c", USE, str(clip), str(bound), str(rounds)],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        )
        return int(done.stdout)

    bare, kept = growth(0, 0), growth(BOUND, 4)
    print(f"\nthe decoders alone {bare >> 20} MiB, with {BOUND >> 20} MiB kept {kept >> 20} MiB")
    assert kept < BOUND
    assert kept > BOUND // 2
