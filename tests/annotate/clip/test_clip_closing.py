"""Readers closed while the codec's threads still work: never a deadlock.

PyAV frees a codec while it holds the interpreter's lock; a thread of the codec that lets go of a
marked packet just then needs that lock. Closing flushes first. The loop runs in a process of its
own, so that a deadlock is a failure and not a test run that never ends.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from numbered_clips import make_clip

ROOT = Path(__file__).parents[3]
LOOP = """
import random, sys
from annotate.clip import ClipReader, build_index
index = build_index(sys.argv[1])
picks = random.Random(1)
for _ in range(int(sys.argv[2])):
    reader = ClipReader(sys.argv[1], index)
    number = picks.randrange(index.n_frames - 4)
    for step in range(picks.randrange(1, 4)):
        reader.frame(number + step)
    reader.close()
print("closed")
"""


@pytest.mark.parametrize(
    "n_times", [40, pytest.param(600, marks=pytest.mark.soak)], ids=["few", "many"]
)
@pytest.mark.parametrize(("name", "codec"), [("a.mkv", "libsvtav1"), ("h.mp4", "libx264")])
def test_closing_while_the_codec_works_never_hangs(
    tmp_path: Path, name: str, codec: str, n_times: int
) -> None:
    clip = tmp_path / name
    make_clip(clip, n_frames=60, width=640, height=360, codec=codec, b_frames=0)
    done = subprocess.run(
        [sys.executable, "-c", LOOP, str(clip), str(n_times)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120 + n_times,
    )
    assert done.stdout.strip() == "closed", done.stderr
