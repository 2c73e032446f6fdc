"""Whether a file is still being written: a recording that is being copied, or recorded."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from annotate.clip.boxes import lacks_header, promised_bytes
from annotate.clip.opening import reading_errors
from annotate.clock import shown
from annotate.errors import UserFacingError

BETWEEN_LOOKS_S = 1.0
"""Any copying that is going on shows within this."""

_TAIL_BYTES = 1 << 20
"""Copying programs that reserve a file's whole length leave zeros where they have not been yet."""

_BLOCK_BYTES = 64 * 1024


@dataclass(frozen=True, slots=True)
class FileLook:
    """What one look at a file shows; a second look tells whether it changed.

    Attributes
    ----------
    n_bytes, changed_ns : int
        Its size, and when the system says that it was last changed.
    written_bytes : int
        Where a long tail of zeros begins, to a block; the size if there is none.
    promised_bytes : int
        How long it will be by its own structure; at least `n_bytes`.
    is_headless : bool
        True if an MP4 or MOV file has no whole header: recorders write that last.
    """

    n_bytes: int
    changed_ns: int
    written_bytes: int
    promised_bytes: int
    is_headless: bool

    @property
    def is_unfinished(self) -> bool:
        """Whether something is missing at its end: it broke off, or more is still to come."""
        return self.written_bytes < self.promised_bytes or self.is_headless


@dataclass(frozen=True, slots=True)
class Growing:
    """A file that is still being written.

    Attributes
    ----------
    here_bytes : int
        How much of it has arrived.
    whole_bytes : int or None
        How long it will be, where the file itself says so.
    words : str
        What is known, to follow on the file's name and 'is'.
    """

    here_bytes: int
    whole_bytes: int | None
    words: str


def look_at(path: Path) -> FileLook:
    """Look at a file from outside.

    Raises
    ------
    UserFacingError
        If it is not there or may not be read.
    """
    with reading_errors(path):
        found = path.stat()
        size = found.st_size
        promised = max(size, promised_bytes(path)) if size else 0
        written = _written_bytes(path, size)
        return FileLook(size, found.st_mtime_ns, written, promised, lacks_header(path))


def growing(before: FileLook, now: FileLook) -> Growing | None:
    """Compare two looks at a file, between which the caller let some time pass.

    At one look a recording that breaks off is like one that is still being copied; only the change
    tells them apart.
    """
    if before == now:
        return None
    here = now.written_bytes
    whole = now.promised_bytes if now.promised_bytes > here else None
    amount = in_words(here) if whole is None else f"{in_words(here)} of {in_words(whole)}"
    return Growing(here, whole, f"still being copied: {amount} so far")


def look_twice(path: Path, wait: Callable[[float], object]) -> FileLook:
    """Look at a file, and a second time if its end is missing; refuse one that grows.

    Parameters
    ----------
    wait : callable
        Given seconds; waits for them, or until the work is called off.

    Raises
    ------
    UserFacingError
        If it is still being written, not there, or may not be read.
    """
    look = look_at(path)
    if look.is_unfinished:
        wait(BETWEEN_LOOKS_S)
        refuse_growing(path, look)
    return look


def refuse_growing(path: Path, before: FileLook) -> None:
    """Refuse a file that has changed since an earlier look.

    Raises
    ------
    UserFacingError
        Saying how much of it is there.
    """
    found = growing(before, look_at(path))
    if found is not None:
        raise UserFacingError(
            f"{shown(path.name, 80)} is {found.words}.",
            "Take it in when it is whole. Nothing was kept of it.",
        )


def in_words(n_bytes: int) -> str:
    """Write a number of bytes for people, ``'3.2 GB'``: powers of ten, as disks are sold."""
    for unit, size in (("GB", 10**9), ("MB", 10**6), ("kB", 10**3)):
        if n_bytes >= size:
            return f"{n_bytes / size:.1f} {unit}"
    return f"{n_bytes} bytes"


def _written_bytes(path: Path, size: int) -> int:
    """Where the zeros that reach to the end begin, found by ever longer strides and halving."""
    if size <= _TAIL_BYTES:
        return size
    with path.open("rb") as file:

        def is_blank(at: int) -> bool:
            file.seek(max(0, at))
            return not file.read(_BLOCK_BYTES).strip(b"\0")

        blank, stride = size - _BLOCK_BYTES, _TAIL_BYTES
        if not is_blank(blank) or not is_blank(size - _TAIL_BYTES):
            return size
        while size - stride > 0 and is_blank(size - stride):
            blank, stride = size - stride, stride * 2
        written = max(0, size - stride)
        while blank - written > _BLOCK_BYTES:
            middle = (written + blank) // 2
            if is_blank(middle):
                blank = middle
            else:
                written = middle
        return blank
