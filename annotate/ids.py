"""Identities: UUIDs, so that two desks' work merges without renumbering."""

from __future__ import annotations

import secrets
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


def new_id() -> str:
    """Make a fresh id that sorts by the time of its making (UUID version 7, RFC 9562 5.7).

    48 bits of Unix time in milliseconds, then random bits; rows of one moment keep the order in
    which they were written, to the millisecond.
    """
    time_ms = time.time_ns() // 1_000_000
    random = secrets.randbits(74)
    value = (time_ms << 80) | (7 << 76) | (random >> 62 << 64) | (2 << 62) | (random & (2**62 - 1))
    return str(UUID(int=value))


def operator_id(code: str) -> OperatorId:
    """Derive an operator's id from the code: the same person has one id on every desk."""
    return OperatorId(str(uuid5(_PEOPLE, f"operator/{code}")))


def reviewer_id(code: str) -> ReviewerId:
    """Derive a reviewer's id from the code."""
    return ReviewerId(str(uuid5(_PEOPLE, f"reviewer/{code}")))
