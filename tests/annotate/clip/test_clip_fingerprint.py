"""A file is known again by its fingerprint, wherever it lies."""

from __future__ import annotations

import hashlib
import threading
from pathlib import Path

import pytest

from annotate.clip import ReadingStopped, fingerprint, full_hash
from annotate.clip.fingerprint import BLOCK_BYTES

LONG = 5_000_000


def _write(path: Path, content: bytes) -> Path:
    path.write_bytes(content)
    return path


def test_a_moved_file_keeps_its_fingerprint(tmp_path: Path) -> None:
    path = _write(tmp_path / "a.mp4", bytes(range(256)) * 4000)
    before = fingerprint(path)
    (tmp_path / "there").mkdir()
    assert fingerprint(path.rename(tmp_path / "there" / "b.mp4")) == before
    assert before.startswith("1024000-")


@pytest.mark.parametrize("at", [0, BLOCK_BYTES - 1, LONG - BLOCK_BYTES, LONG - 1])
def test_a_change_in_the_first_or_last_block_shows(at: int, tmp_path: Path) -> None:
    content = bytearray(LONG)
    plain = fingerprint(_write(tmp_path / "a", bytes(content)))
    content[at] = 1
    assert fingerprint(_write(tmp_path / "a", bytes(content))) != plain


def test_a_file_cut_or_grown_by_a_byte_is_another(tmp_path: Path) -> None:
    prints = {
        fingerprint(_write(tmp_path / "a", bytes(n))) for n in (0, 1, 99, 100, LONG, LONG + 1)
    }
    assert len(prints) == 6


def test_a_file_of_a_few_blocks_is_read_whole(tmp_path: Path) -> None:
    """Sixteen blocks of a file of ten overlap: no byte is left out."""
    content = bytearray(10 * BLOCK_BYTES)
    plain = fingerprint(_write(tmp_path / "a", bytes(content)))
    for at in range(7, len(content), 50_021):
        changed = content.copy()
        changed[at] = 1
        assert fingerprint(_write(tmp_path / "a", bytes(changed))) != plain


def test_the_full_hash_is_the_sha_256_of_the_file(tmp_path: Path) -> None:
    content = bytes(range(250)) * 20_000
    told: list[float] = []
    assert (
        full_hash(_write(tmp_path / "a", content), told.append)
        == hashlib.sha256(content).hexdigest()
    )
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_a_full_hash_can_be_called_off(tmp_path: Path) -> None:
    event = threading.Event()

    def progress(share: float) -> None:
        event.set()

    with pytest.raises(ReadingStopped):
        full_hash(_write(tmp_path / "a", bytes(LONG)), progress, event)
