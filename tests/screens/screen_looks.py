"""Pictures of every screen in its states, to be looked at: empty, typical, full, broken.

    python tests/screens/take_screens.py FOLDER [--only WORD] [--size 1366x768] [--theme dark]
                                         [--scale 2]

Without size and theme: 1366x768 dark and 1920x1080 light, the first at 150 % and the second at
200 % too. A size is in pixels of the screen. Offscreen, each look in a process of its own, on a
screen of that size and on a store of its own.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

LOOKS = (
    ("1366x768", "dark", 1.0),
    ("1920x1080", "light", 1.0),
    ("1366x768", "dark", 1.5),
    ("1920x1080", "light", 2.0),
)


def on_a_screen(given: argparse.Namespace, size: str, theme: str, scale: float) -> None:
    """Take the pictures of one look in a process that has such a screen: Qt sizes itself once."""
    width, height = map(int, size.split("x"))
    screen = {"name": "screen", "x": 0, "y": 0, "width": width, "height": height,
              "logicalDpi": 96, "dpr": 1}  # fmt: skip
    with tempfile.TemporaryDirectory() as scratch:
        file = Path(scratch) / "screens.json"
        file.write_text(json.dumps({"screens": [screen]}), encoding="utf-8")
        asked = [str(given.folder), "--only", given.only, "--size", size, "--theme", theme]
        subprocess.run(
            [sys.executable, sys.argv[0], *asked, "--scale", f"{scale:g}", "--here"],
            env={
                **os.environ,
                "QT_QPA_PLATFORM": f"offscreen:configfile={file}",
                "QT_SCALE_FACTOR": f"{scale:g}",
            },
            check=True,
        )


def main() -> None:
    """Read the command line and take the pictures."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", type=Path)
    asked.add_argument("--only", default="")
    asked.add_argument("--size")
    asked.add_argument("--theme", choices=("dark", "light"))
    asked.add_argument("--scale", type=float, default=1.0)
    asked.add_argument("--here", action="store_true", help=argparse.SUPPRESS)
    given = asked.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    if given.here:
        from screen_states import QSize, take_all

        width, height = map(int, given.size.split("x"))
        size = QSize(int(width / given.scale), int(height / given.scale))
        scaled = f"-{given.scale:g}" if given.scale != 1 else ""
        name = f"{given.size}-{given.theme}{scaled}"
        take_all(given.folder, size, given.theme, given.only, name)
        return
    looks = [(given.size, given.theme or "dark", given.scale)] if given.size else LOOKS
    for size, theme, scale in looks:
        on_a_screen(given, size, given.theme or theme, scale)
