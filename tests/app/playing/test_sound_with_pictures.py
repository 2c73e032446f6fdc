"""A flash is painted and its click is heard, through the whole player and a real sound server."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import pytest
from private_sound import PrivateSound, missing_programs
from sounding_clips import click_times, make_sounding_clip

ROOT = Path(__file__).parents[3]
SESSION = ROOT / "tests" / "helpers" / "player_session.py"
NEEDS_SERVER = pytest.mark.skipif(
    bool(missing_programs()), reason=f"no sound server to hear with: {missing_programs()}"
)
AMISS_MS = 40
TRIES = 3
STEADY_S = 0.03


@NEEDS_SERVER
@pytest.mark.soak
@pytest.mark.parametrize("speed", [0.5, 1.0, 2.0])
def test_a_click_is_heard_when_its_flash_is_painted(tmp_path: Path, speed: float) -> None:
    clip = tmp_path / "clip.mp4"
    make_sounding_clip(clip, seconds=20)
    gaps_s = []
    for _ in range(TRIES):
        with (
            tempfile.TemporaryDirectory(prefix="ear") as folder,
            PrivateSound(Path(folder)) as server,
        ):
            listener = server.listen()
            run = subprocess.run(
                [sys.executable, str(SESSION), str(clip), str(speed), "8"],
                env={**os.environ, "PULSE_SERVER": server.address,
                     "PYTHONPATH": f"{ROOT}{os.pathsep}{SESSION.parent}"},
                capture_output=True, text=True, timeout=90,
            )  # fmt: skip
            assert run.returncode == 0, run.stderr
            found = json.loads(run.stdout.splitlines()[-1])
            samples, begin_s = listener.stop()
            gaps_s.append(listener.longest_gap_s())
        assert found["said"] == []
        heard_s = np.array([begin_s + t for t in click_times(samples, least=4000)])
        flashes_s = np.array([at_s for at_s, _, bright in found["painted"] if bright > 180])
        assert len(flashes_s) >= 5 * speed
        if not len(heard_s):
            continue
        late_ms = np.array(
            [1000 * (h - flashes_s[np.abs(flashes_s - h).argmin()]) for h in heard_s]
        )
        late_ms = late_ms[np.abs(late_ms) < 250 / speed]  # of flashes that were painted
        print(
            f"\nat {speed}: heard after painted by {np.round(late_ms, 1)} ms; "
            f"{found['dropped']} pictures dropped; longest gap {gaps_s[-1]:.3f} s"
        )
        if len(late_ms) >= 5 * speed and np.percentile(np.abs(late_ms), 90) <= AMISS_MS:
            return
    if min(gaps_s) > STEADY_S:
        pytest.skip(f"the sound server stood still for {min(gaps_s):.2f} s or more in each try")
    pytest.fail("clicks are not heard with their pictures")
