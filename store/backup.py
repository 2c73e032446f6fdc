"""Copies of a store by SQLite's own backup call: never torn, whatever is being written."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from annotate.errors import UserFacingError
from store.engine import Address
from store.trouble import plain_sentences

_STEM = "scrubline-"
_SUFFIX = ".sqlite"


def backup_to(address: Address, target: Path) -> None:
    """Copy the store to one complete file; an older copy there is replaced at the last moment.

    Raises
    ------
    UserFacingError
        If the store is on a server, or the target cannot be written.
    """
    source = address.path
    if source is None:
        raise UserFacingError(
            f"The store {address.name} is on a server.", "Back it up with the server's own tools."
        )
    if target.is_dir() or (target.exists() and target.samefile(source)):
        raise UserFacingError(
            f"A backup cannot be written to {target.name}.", "Give another file name."
        )
    part = target.with_name(target.name + ".part")
    try:
        target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        part.unlink(missing_ok=True)
        os.close(os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
        _copy(source, part)
        part.replace(target)
    except OSError as error:
        raise UserFacingError(
            f"The backup {target.name} cannot be written.",
            "Check that you may write in its folder and that the disk has room.",
        ) from error
    finally:
        if part.exists():
            part.unlink()


def rolling_backup(address: Address, folder: Path, keep: int) -> Path:
    """Copy the store into `folder` under the time's name and keep the newest `keep` such copies.

    Returns
    -------
    Path
        The copy.
    """
    if keep < 1:
        raise ValueError("a rolling backup keeps at least one copy")
    now = datetime.now(UTC)
    target = folder / f"{_STEM}{now:%Y%m%dT%H%M%S%fZ}{_SUFFIX}"
    backup_to(address, target)
    for old in sorted(folder.glob(f"{_STEM}*Z{_SUFFIX}"))[:-keep]:
        if old != target:  # a clock set back must not cost the copy just made
            old.unlink()
    return target


def _copy(source: Path, part: Path) -> None:
    with (
        plain_sentences(source.name),
        closing(sqlite3.connect(source)) as original,
        closing(sqlite3.connect(part)) as copy,
    ):
        original.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")  # one file, no side files
