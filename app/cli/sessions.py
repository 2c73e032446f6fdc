"""Which session a command means."""

from __future__ import annotations

from annotate.case import Case, ReviewSession
from annotate.errors import UserFacingError
from annotate.people import Reviewer, ReviewerKind
from store import Store


def reviewer_of(case: Case, code: str) -> Reviewer:
    """A reviewer by code; who reviews the own case does a self-review."""
    is_self = code == case.operator.code
    return Reviewer(code, ReviewerKind.SELF if is_self else ReviewerKind.ATTENDING)


def wanted_session(store: Store, case: Case, reviewer: str | None) -> ReviewSession:
    """The session named, or the only or newest one.

    Raises
    ------
    UserFacingError
        If there is none.
    """
    session = store.find_session(case.id, reviewer)
    if session is None:
        whose = f"by {reviewer} " if reviewer else ""
        raise UserFacingError(
            f"Case {case.code} has no review {whose}yet.",
            "Tag it on the desk, or read tags from a file with: scrubline tags CASE --from FILE.",
        )
    return session
