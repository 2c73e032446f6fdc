"""Everything larger: kept, said, and true of the next start."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from app.desk.enlarging import SIZES
from app.desk.window import DeskWindow
from app.settings import Settings, load_settings, save_settings

ROOT = Path(__file__).parents[3]
ASK = (
    "from app.desk.start import make_application; from PySide6.QtWidgets import QLabel; "
    "app = make_application('dark', {percent}); print(QLabel('x').devicePixelRatioF())"
)


def test_sizes_go_up_and_down_and_stop_at_both_ends(desk: DeskWindow) -> None:
    for percent in SIZES[1:]:
        desk.act("larger")
        assert desk.settings.size_percent == percent
        assert f"at {percent} % from the next start" in desk.message_bar.words
    desk.act("larger")
    assert "no larger" in desk.message_bar.words
    for _ in SIZES:
        desk.act("smaller")
    assert desk.settings.size_percent == 100
    assert "no smaller" in desk.message_bar.words


def test_the_size_is_written_down(tmp_path: Path) -> None:
    save_settings(Settings(size_percent=150), tmp_path / "settings.toml")
    assert load_settings(tmp_path / "settings.toml").size_percent == 150


@pytest.mark.parametrize(("percent", "ratio"), [(100, 1.0), (150, 1.5), (200, 2.0), (77, 1.0)])
def test_the_next_start_draws_everything_at_that_size(percent: int, ratio: float) -> None:
    done = subprocess.run(
        [sys.executable, "-c", ASK.format(percent=percent)],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert float(done.stdout.split()[-1]) == ratio
