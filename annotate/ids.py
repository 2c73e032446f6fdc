"""Identities: UUIDs, so that two desks' work merges without renumbering."""

from __future__ import annotations

import secrets
import threading
import time
from typing import NewType
from uuid import UUID, uuid5

OperatorId = NewType("OperatorId", str)
ReviewerId = NewType("ReviewerId", str)
CaseId = NewType("CaseId", str)
ClipId = NewType("ClipId", str)
SessionId = NewType("SessionId", str)
RowId = NewType("RowId", str)
"""Id of a tag, comment, mark, calibration, measurement, score or setting."""

_PEOPLE = UUID("5b0f6a0e-2b1c-4a8a-9a51-0d6f0c6f2f11")


_making = threading.Lock()
_last = [0, 0]
"""Millisecond of the last id made here, and how many were made in it before."""


def new_id() -> str:
    """Make a fresh id that sorts by its making (UUID version 7, RFC 9562 5.7 and 6.2 method 1).

    48 bits of Unix time in milliseconds, a counter of 12 bits within the millisecond, then random
    bits: what one desk writes keeps the order in which it was written.
    """
    with _making:
        time_ms, count = time.time_ns() // 1_000_000, 0
        if time_ms <= _last[0]:
            time_ms, count = _last[0], _last[1] + 1
        if count > 0xFFF:
            time_ms, count = time_ms + 1, 0
        _last[:] = time_ms, count
    value = (time_ms << 80) | (7 << 76) | (count << 64) | (2 << 62) | secrets.randbits(62)
    return str(UUID(int=value))


def operator_id(code: str) -> OperatorId:
    """Derive an operator's id from the code: the same person has one id on every desk."""
    return OperatorId(str(uuid5(_PEOPLE, f"operator/{code}")))


def reviewer_id(code: str) -> ReviewerId:
    """Derive a reviewer's id from the code."""
    return ReviewerId(str(uuid5(_PEOPLE, f"reviewer/{code}")))
