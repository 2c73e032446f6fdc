"""How long the machine itself stands still: a process that only sleeps notes when it wakes late.

On a shared machine whole milliseconds go to others; a picture that is late in one of them was not
late because of what is tested.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

_NAP_S = 0.002
_SLEEPER = f"""
import sys, threading, time
late = []
threading.Thread(target=lambda: (sys.stdin.read(), late.append(None)), daemon=True).start()
found = []
while not late:
    before = time.perf_counter()
    time.sleep({_NAP_S})
    over = time.perf_counter() - before - {_NAP_S}
    if over > 0.004:
        found.append(over * 1e3)
print(*(f"{{ms:.1f}}" for ms in found))
"""


@dataclass
class Stalls:
    """How late it woke, each time that it was by more than 4 ms, in milliseconds."""

    late_ms: list[float] = field(default_factory=list)

    @property
    def words(self) -> str:
        """For a report."""
        if not self.late_ms:
            return "a process that only sleeps woke in time"
        n_frames = sum(ms > 16.7 for ms in self.late_ms)
        return (
            f"a process that only sleeps woke more than 4 ms late {len(self.late_ms)} times, more "
            f"than 16.7 {n_frames} times, at worst {max(self.late_ms):.1f} ms"
        )


@contextmanager
def stalls_noted() -> Iterator[Stalls]:
    """Note them while something runs; they are there when it has ended."""
    found = Stalls()
    sleeper = subprocess.Popen(
        [sys.executable, "-c", _SLEEPER],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        yield found
    finally:
        told, _ = sleeper.communicate("", timeout=30)
        found.late_ms += [float(ms) for ms in told.split()]
