"""An index that grows: shown from as far as it goes, whole for whoever needs it whole."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from long_clips import lengthen
from numbered_clips import make_clip

from annotate.clip import build_index
from annotate.errors import UserFacingError
from app.playing.messages import PartToOpen
from app.playing.part_index import PartIndex

N_ROUNDS = 1500


@pytest.fixture(scope="module")
def long_clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Ten minutes and more in a transport stream."""
    folder = tmp_path_factory.mktemp("long")
    make_clip(folder / "short.ts", n_frames=48, gop=12, fps=Fraction(30))
    lengthen(folder / "short.ts", folder / "long.ts", N_ROUNDS)
    return folder / "long.ts"


def test_it_gives_a_beginning_and_then_the_whole(long_clip: Path) -> None:
    truth = build_index(long_clip)
    told: list[object] = []
    part = PartToOpen(str(long_clip), None, truth.n_frames, truth.duration_us)
    index = PartIndex(0, part, told.append)
    first = index.beginning()
    assert first.n_frames <= truth.n_frames
    assert (first.times_us == truth.times_us[: first.n_frames]).all()
    assert index.grown_to(truth.n_frames - 1, lambda: False)
    assert (index.whole().times_us == truth.times_us).all()
    assert index.has(5)
    index.close()


def test_waiting_ends_when_nobody_wants_it_any_more(long_clip: Path) -> None:
    index = PartIndex(0, PartToOpen(str(long_clip), None, 10, 10), lambda _: None)
    assert not index.grown_to(10**9, lambda: True)
    index.close()


def test_a_lost_part_says_so(tmp_path: Path) -> None:
    lost = PartToOpen(str(tmp_path / "no.mp4"), None, 10, 10, missing="It is gone.")
    with pytest.raises(UserFacingError, match="gone"):
        PartIndex(0, lost, lambda _: None).beginning()
    unread = PartIndex(0, PartToOpen(str(tmp_path / "no.mp4"), None, 10, 10), lambda _: None)
    with pytest.raises(UserFacingError, match="not there"):
        unread.whole()
    unread.close()
