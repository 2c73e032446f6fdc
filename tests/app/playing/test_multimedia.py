"""Qt's multimedia is there before any other thread asks for it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from app.playing import multimedia
from app.playing.multimedia import load_multimedia, need_multimedia

ROOT = Path(__file__).parents[3]
WATCHED = """
import builtins, sys, threading, time
from PySide6.QtWidgets import QApplication
from PySide6.QtCore import QTimer

application = QApplication([])
loaded_by = []
genuine = builtins.__import__


def watch(name, *args, **kwargs):
    is_there = "PySide6.QtMultimedia" in sys.modules
    made = genuine(name, *args, **kwargs)
    if not is_there and "PySide6.QtMultimedia" in sys.modules:
        loaded_by.append(threading.current_thread() is threading.main_thread())
    return made


builtins.__import__ = watch
from app.playing.sound_out import SoundOut

out = SoundOut(lambda wish: None, lambda generation, n_bytes: None)
out.start(0, 1.0)
out.words_changed.connect(application.quit)
out.said_once.connect(application.quit)
QTimer.singleShot(20_000, application.quit)
application.exec()
out.close()
print(loaded_by, bool(out.device_words))
"""


def test_it_is_loaded_once_and_on_the_main_thread() -> None:
    done = subprocess.run(
        [sys.executable, "-c", WATCHED], cwd=ROOT, capture_output=True, text=True, check=False,
        timeout=60,
    )  # fmt: skip
    assert done.stdout.split("\n")[0] == "[True] True", done.stderr


def test_what_is_missing_is_told_to_whoever_needs_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(multimedia, "_missing", [])
    monkeypatch.setitem(sys.modules, "PySide6.QtMultimedia", None)
    load_multimedia()
    with pytest.raises(ImportError, match="QtMultimedia"):
        need_multimedia()
    monkeypatch.undo()
    load_multimedia()
    need_multimedia()
