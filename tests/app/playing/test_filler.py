"""What is wanted ahead is made, in the direction of travel, and not frame by frame."""

from __future__ import annotations

import time

import pytest
from numbered_clips import make_clip

from annotate.clip import CaseReader, build_index
from app.playing.filler import Filler

WAIT_S = 20.0


@pytest.fixture(scope="module")
def reader(tmp_path_factory: pytest.TempPathFactory) -> CaseReader:
    path = tmp_path_factory.mktemp("filler") / "clip.mp4"
    make_clip(path, n_frames=240, gop=60)
    return CaseReader([(path, build_index(path))], 200 << 20)


def test_a_window_that_moves_back_is_always_at_hand_and_costs_few_passes(
    reader: CaseReader, monkeypatch: pytest.MonkeyPatch
) -> None:
    passes: list[tuple[int, int]] = []
    fill = reader.fill

    def counted(first: int, last: int, cancel: object = None) -> None:
        passes.append((first, last))
        fill(first, last, cancel)  # type: ignore[arg-type]

    monkeypatch.setattr(reader, "fill", counted)
    filler = Filler(reader, lambda _: 1 << 30)
    for number in range(200, 40, -1):
        filler.want(number - 48, number, -1)
        assert filler.wait_for(number, WAIT_S)
    filler.close()
    assert len(passes) <= 16
    reader.close()


def test_frames_beyond_what_is_sure_are_left_alone(reader: CaseReader) -> None:
    filler = Filler(reader, lambda _: 20)
    filler.want(0, 60, 1)
    assert filler.wait_for(20, WAIT_S)
    assert not filler.wait_for(21, 0.05)
    filler.close()
    reader.close()


def test_closing_ends_work_in_the_middle(reader: CaseReader) -> None:
    filler = Filler(reader, lambda _: 1 << 30)
    filler.want(0, 239, 1)
    began = time.monotonic()
    filler.close()
    assert time.monotonic() - began < WAIT_S
    reader.close()
