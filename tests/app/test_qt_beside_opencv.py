"""OpenCV's wheel carries a Qt of its own; the desk's window must open all the same.

Each test runs in a fresh process under a real X server, in both orders of import.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PROGRAM = """
import os, sys
first, second = sys.argv[1:3]
__import__(first)
__import__(second)
from app.desk.start import make_application
application = make_application("dark")
from PySide6.QtWidgets import QWidget
window = QWidget()
window.resize(320, 200)
window.show()
from PySide6.QtCore import QTimer
shown = []
window.windowHandle().visibleChanged.connect(shown.append)
def look():
    if window.windowHandle().isExposed():
        print(application.platformName(), "exposed", flush=True)
        application.quit()
poll = QTimer()
poll.timeout.connect(look)
poll.start(20)
QTimer.singleShot(20000, application.quit)
application.exec()
print("left", [n for n in ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_QPA_FONTDIR") if n in os.environ])
"""


@pytest.fixture(scope="module")
def display() -> Iterator[str]:
    server = shutil.which("Xvfb")
    if server is None:
        pytest.skip("Xvfb is not installed here")
    read, write = os.pipe()
    process = subprocess.Popen(
        [server, "-displayfd", str(write), "-screen", "0", "800x600x24", "-nolisten", "tcp"],
        pass_fds=[write],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    with os.fdopen(read) as pipe:
        number = pipe.readline().strip()
    yield f":{number}"
    process.terminate()
    process.wait()


@pytest.mark.skipif(
    sys.platform != "linux", reason="only there does OpenCV bring a Qt that clashes"
)
@pytest.mark.parametrize("order", [("cv2", "PySide6.QtWidgets"), ("PySide6.QtWidgets", "cv2")])
def test_a_window_opens_with_opencv_imported_first_or_last(
    display: str, order: tuple[str, str]
) -> None:
    environment = {k: v for k, v in os.environ.items() if not k.startswith("QT_")}
    environment |= {"DISPLAY": display, "QT_QPA_PLATFORM": "xcb"}
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, *order],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=90,
    )
    assert done.returncode == 0, done.stderr
    assert "xcb exposed" in done.stdout
    assert "left []" in done.stdout


def test_what_the_user_set_for_qt_stays(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from app.quiet_cv2 import quiet_cv2

    monkeypatch.setenv("QT_QPA_FONTDIR", str(tmp_path))
    quiet_cv2()
    assert os.environ["QT_QPA_FONTDIR"] == str(tmp_path)
