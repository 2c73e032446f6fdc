"""A sound server of a test's own, whose one output is heard by nobody and can be listened to."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import threading
import time
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

RATE_HZ = 48_000
_SINK = "ear"


def missing_programs() -> str:
    """Which programs are lacking; empty where a server can be run."""
    return ", ".join(name for name in ("pulseaudio", "parec", "pactl") if not shutil.which(name))


def hurry(process_id: int = 0) -> None:
    """Let a process (0: this one) go first, where this account may, as desks do for sound."""
    if hasattr(os, "setpriority"):
        with contextlib.suppress(PermissionError):
            os.setpriority(os.PRIO_PROCESS, process_id, -15)


class PrivateSound:
    """Runs a PulseAudio server with a null sink in a folder; close it, or use it in a `with`.

    Parameters
    ----------
    folder : Path
        Empty, with a short name: a socket lies in it.
    """

    def __init__(self, folder: Path) -> None:
        self.address = f"unix:{folder / 'native'}"
        self._environment = {
            **os.environ, "XDG_RUNTIME_DIR": str(folder), "HOME": str(folder),
            "PULSE_RUNTIME_PATH": str(folder), "PULSE_SERVER": self.address,
        }  # fmt: skip
        self._server = subprocess.Popen(
            ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no",
             "--disable-shm=yes", "--realtime=no", "--high-priority=no",
             "-L", f"module-null-sink sink_name={_SINK} rate={RATE_HZ}",
             "-L", f"module-native-protocol-unix socket={folder / 'native'} auth-anonymous=1"],
            env={k: v for k, v in self._environment.items() if k != "PULSE_SERVER"},
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        hurry(self._server.pid)
        until_s = time.monotonic() + 60
        while not self._answers():
            if self._server.poll() is not None or time.monotonic() > until_s:
                self.close()
                raise RuntimeError("the sound server does not start")

    def __enter__(self) -> PrivateSound:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        if self._server.poll() is None:
            self._server.send_signal(signal.SIGTERM)
            self._server.wait(10)

    def listen(self) -> Listener:
        """Record what is played, from now on."""
        return Listener(self._environment)

    def _answers(self) -> bool:
        asked = subprocess.run(
            ["pactl", "info"], env=self._environment, capture_output=True, check=False, timeout=60
        )
        return asked.returncode == 0


class Listener:
    """Records the null sink's monitor, and at which moment of `time.perf_counter` what came."""

    def __init__(self, environment: dict[str, str]) -> None:
        self._recorder = subprocess.Popen(
            ["parec", "-d", f"{_SINK}.monitor", f"--rate={RATE_HZ}", "--channels=1",
             "--format=s16le", "--latency-msec=5", "--process-time-msec=5", "--raw"],
            env=environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, bufsize=0,
        )  # fmt: skip
        hurry(self._recorder.pid)
        self._parts: list[tuple[float, bytes]] = []
        self._thread = threading.Thread(target=self._listen, daemon=True)
        self._thread.start()

    def parts(self) -> list[tuple[float, bytes]]:
        """What was recorded by now, each part with the moment at which it came."""
        return list(self._parts)

    def longest_gap_s(self) -> float:
        """For how long nothing came: the server, or the whole machine, was busy with else."""
        moments_s = [at_s for at_s, _ in self._parts]
        return float(np.diff(moments_s).max()) if len(moments_s) > 1 else 0.0

    def stop(self) -> tuple[NDArray[np.int16], float]:
        """End the recording: its samples, and the moment at which the first of them was played.

        What is played at an even beat comes with varying delay: the least delayed part counts.
        """
        self._recorder.terminate()
        self._recorder.wait(10)
        self._thread.join(10)
        assert self._recorder.stdout is not None
        self._recorder.stdout.close()
        ends = np.cumsum([len(part) // 2 for _, part in self._parts])
        came_s = np.array([at_s for at_s, _ in self._parts])
        samples = np.frombuffer(b"".join(part for _, part in self._parts), np.int16)
        return samples, float(np.min(came_s - ends / RATE_HZ))

    def _listen(self) -> None:
        assert self._recorder.stdout is not None
        while part := self._recorder.stdout.read(2048):
            self._parts.append((time.perf_counter(), part))
