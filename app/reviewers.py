"""Who a reviewer is on a case."""

from __future__ import annotations

from annotate.case import Case
from annotate.people import Reviewer, ReviewerKind


def reviewer_of(case: Case, code: str) -> Reviewer:
    """A reviewer by code; who reviews the own case does a self-review."""
    is_self = code == case.operator.code
    return Reviewer(code, ReviewerKind.SELF if is_self else ReviewerKind.ATTENDING)
