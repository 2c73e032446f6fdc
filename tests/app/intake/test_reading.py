"""A file that is still being copied goes neither into a new case nor into one that is in."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from new_stores import new_store
from numbered_clips import make_clip

from annotate.errors import UserFacingError
from app.intake.adding_parts import add_parts
from app.intake.take_in import Intake, take_in
from app.jobs.work import Work
from store import Store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with new_store(tmp_path / "desk.sqlite") as made:
        yield made


class Copying:
    """A copy that goes on whenever the program waits between two looks."""

    def __init__(self, content: bytes, path: Path) -> None:
        self._content, self._path = content, path
        self._done = len(content) // 3
        path.write_bytes(content[: self._done])

    def work(self) -> Work:
        work = Work()
        wait = work.cancel.wait

        def copied_meanwhile(timeout: float | None = None) -> bool:
            self._done += 2000
            self._path.write_bytes(self._content[: self._done])
            return wait(0)

        work.cancel = _Event(copied_meanwhile)
        return work


class _Event(threading.Event):
    def __init__(self, wait: object) -> None:
        super().__init__()
        self._instead = wait

    def wait(self, timeout: float | None = None) -> bool:
        return bool(self._instead(timeout))  # type: ignore[operator]


def test_what_is_still_being_copied_is_refused_both_ways(store: Store, tmp_path: Path) -> None:
    whole, part = tmp_path / "part1.mp4", tmp_path / "part2.mp4"
    make_clip(whole, n_frames=48)
    make_clip(part, n_frames=60, first_number=48)
    content = part.read_bytes()
    case = take_in(store, Intake([whole], "R-07", 3, "phaco-divide-conquer", code="R-07-3"), "A-01")
    with pytest.raises(UserFacingError, match="still being copied"):
        add_parts(store, case, [part], "A-01", Copying(content, part).work())
    wanted = Intake([part], "R-07", 4, "phaco-divide-conquer", code="R-07-4")
    with pytest.raises(UserFacingError, match="still being copied"):
        take_in(store, wanted, "A-01", Copying(content, part).work())
    assert len(store.case("R-07-3").clips) == 1
    part.write_bytes(content)
    assert len(add_parts(store, case, [part], "A-01").clips) == 2
