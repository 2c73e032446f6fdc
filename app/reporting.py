"""What was not foreseen: the system's refusals, and faults of the program with a report file."""

from __future__ import annotations

import errno
import os
import traceback
from datetime import UTC, datetime
from pathlib import Path

from annotate.clock import shown
from annotate.errors import UserFacingError
from app.places import report_folder

_KEPT = 20
_USERS_OWN = frozenset(
    getattr(errno, name)
    for name in (
        "EACCES", "EDQUOT", "EEXIST", "EIO", "EISDIR", "ELOOP", "ENAMETOOLONG", "ENOENT",
        "ENOSPC", "ENOTDIR", "EPERM", "EROFS",
    )
    if hasattr(errno, name)
)  # fmt: skip
"""What the system refuses because of a name, a right or a disk, which the user can change."""


def system_trouble(fault: OSError) -> UserFacingError | None:
    """Say what the system refused; None where the user cannot put it right."""
    if fault.errno not in _USERS_OWN:
        return None
    name = fault.filename
    called = shown(Path(os.fsdecode(name)).name) if isinstance(name, str | bytes) else "The file"
    return UserFacingError(
        f"{called} cannot be used: {(fault.strerror or 'the system refused').lower()}.",
        "Check the name and the folder. What was shown as kept is safe.",
    )


def report_fault(fault: BaseException) -> str:
    """Write a report and return what to tell the user.

    The report names places in the program and the kind of fault; it holds no patient's data
    beyond what the fault's own words carry, and stays on this machine.
    """
    try:
        path = _write(fault)
    except OSError:
        return (
            f"Something in the program went wrong ({type(fault).__name__}). "
            "What was shown as kept is safe."
        )
    return (
        f"Something in the program went wrong ({type(fault).__name__}). What was shown as kept "
        f"is safe. A report for the makers is in {path.name} in the program's log folder."
    )


def _write(fault: BaseException) -> Path:
    folder = report_folder()
    folder.mkdir(parents=True, exist_ok=True)
    stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")
    path = folder / f"fault-{stamp}.txt"
    path.write_text("".join(traceback.format_exception(fault)), encoding="utf-8")
    for old in sorted(folder.glob("fault-*.txt"))[:-_KEPT]:
        old.unlink(missing_ok=True)
    return path
