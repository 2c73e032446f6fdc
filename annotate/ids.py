"""Identities: UUIDs, so that two desks' work merges without renumbering."""

from __future__ import annotations

from typing import NewType
from uuid import UUID, uuid4, uuid5

OperatorId = NewType("OperatorId", str)
ReviewerId = NewType("ReviewerId", str)
CaseId = NewType("CaseId", str)
ClipId = NewType("ClipId", str)
SessionId = NewType("SessionId", str)
RowId = NewType("RowId", str)
"""Id of a tag, comment, mark, calibration, measurement, score or setting."""

_PEOPLE = UUID("5b0f6a0e-2b1c-4a8a-9a51-0d6f0c6f2f11")


def new_id() -> str:
    """Make a fresh random id."""
    return str(uuid4())


def operator_id(code: str) -> OperatorId:
    """Derive an operator's id from the code: the same person has one id on every desk."""
    return OperatorId(str(uuid5(_PEOPLE, f"operator/{code}")))


def reviewer_id(code: str) -> ReviewerId:
    """Derive a reviewer's id from the code."""
    return ReviewerId(str(uuid5(_PEOPLE, f"reviewer/{code}")))
