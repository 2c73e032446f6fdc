"""Faults of the program itself: written to a report file, told in a sentence."""

from __future__ import annotations

import traceback
from datetime import UTC, datetime
from pathlib import Path

from app.places import report_folder

_KEPT = 20


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
