"""New stores without their making: migrated once a process, then copied, byte for byte.

How a store is made from nothing is for the tests in tests/store/ that are about that.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from app.intake.take_in import Intake, take_in
from store import Store, open_store


def new_store(file: Path) -> Store:
    """Open the store in a file, a new one where there is none."""
    return _with_content(file, _content(()))


def store_with_case(file: Path, clips: list[Path]) -> Store:
    """Open a new store that holds case R-07-003 of these clips, taken in by A-01."""
    return _with_content(file, _content(tuple(clips)))


def _with_content(file: Path, content: bytes) -> Store:
    if not file.exists():
        file.write_bytes(content)
    return open_store(file)


@cache
def _content(clips: tuple[Path, ...]) -> bytes:
    with TemporaryDirectory() as folder:
        file = Path(folder) / "new.sqlite"
        with open_store(file) as made:
            if clips:
                wanted = Intake(list(clips), "R-07", 3, "phaco-divide-conquer", code="R-07-003")
                take_in(made, wanted, "A-01")
        assert [path.name for path in Path(folder).iterdir()] == [file.name]  # all is in it
        return file.read_bytes()
