"""Knowing a file again wherever it has been moved to."""

from __future__ import annotations

import hashlib
from pathlib import Path

from annotate.clip.opening import reading_errors
from annotate.clip.stopping import Cancel, Progress, stop_if

BLOCK_BYTES = 64 * 1024
N_BLOCKS = 16
_STRIDE_BYTES = 1 << 20


def fingerprint(path: Path | str) -> str:
    """Fingerprint a file by its size and sampled blocks.

    The first and the last block and evenly spread ones between are hashed, so that the cost does
    not grow with the file. Two files of one size that differ between the samples share it: where
    that matters, compare `full_hash`.

    Returns
    -------
    str
        Size in bytes, a dash, and a SHA-256 in hexadecimal.

    Raises
    ------
    UserFacingError
        If the file cannot be read.
    """
    path = Path(path)
    with reading_errors(path), path.open("rb") as file:
        size = path.stat().st_size
        digest = hashlib.sha256(str(size).encode())
        for start in _block_starts(size):
            file.seek(start)
            digest.update(file.read(BLOCK_BYTES))
    return f"{size}-{digest.hexdigest()}"


def may_be(path: Path, known: str) -> bool:
    """Tell from its size alone whether a file may have a known fingerprint; reads nothing."""
    try:
        return known.startswith(f"{path.stat().st_size}-")
    except OSError:
        return False


def full_hash(path: Path | str, progress: Progress = None, cancel: Cancel = None) -> str:
    """SHA-256 of the whole file, in hexadecimal.

    Raises
    ------
    UserFacingError
        If the file cannot be read.
    ReadingStopped
        If `cancel` asks for it.
    """
    path = Path(path)
    digest = hashlib.sha256()
    with reading_errors(path), path.open("rb") as file:
        size, done = path.stat().st_size, 0
        while block := file.read(_STRIDE_BYTES):
            stop_if(cancel)
            digest.update(block)
            done += len(block)
            if progress is not None:
                progress(min(1.0, done / max(size, 1)))
    return digest.hexdigest()


def _block_starts(size: int) -> list[int]:
    last = max(0, size - BLOCK_BYTES)
    return sorted({last * step // (N_BLOCKS - 1) for step in range(N_BLOCKS)})
