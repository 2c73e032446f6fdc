"""One session of a case, found by who reviewed and in which edition."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from annotate.case import ReviewSession
from annotate.clock import shown
from annotate.errors import UserFacingError
from annotate.ids import CaseId
from store.models import CaseTable
from store.sessions import of_case
from store.veils import seen_by


def find(
    db: Session,
    case_id: CaseId,
    reviewer_code: str | None,
    viewer: str = "",
    edition: int | None = None,
) -> ReviewSession:
    """Find a case's session; see `store.desk_store.Store.find_session`."""
    case_code = db.scalar(select(CaseTable.code).where(CaseTable.id == case_id))
    if case_code is None:
        raise UserFacingError("The case is no longer in the store.", "Open another case.")
    kept = of_case(db, case_id)
    seen = seen_by(db, case_id, viewer) if viewer else kept
    by_them = [s for s in seen if reviewer_code in (None, s.reviewer.code)]
    for session in by_them:
        if edition in (None, session.edition):
            return session
    if by_them:
        raise _no_such_edition(by_them, edition, case_code)
    is_kept = any(s.reviewer.code == reviewer_code for s in kept)
    if is_kept or (reviewer_code is None and kept):
        withheld = sorted({s.reviewer.code for s in kept if s not in seen})
        raise UserFacingError(
            _withheld([reviewer_code] if reviewer_code else withheld),
            f"Finish and sign your own review of case {case_code}; then it is shown.",
        )
    if not seen:
        raise UserFacingError(
            f"Nobody has reviewed case {case_code} yet.", "Tag it, or read in a tag file."
        )
    codes = ", ".join(sorted({session.reviewer.code for session in seen}))
    raise UserFacingError(
        f"'{shown(reviewer_code or '')}' has not reviewed case {case_code}.",
        f"It was reviewed by {codes}.",
    )


def _withheld(codes: Sequence[str]) -> str:
    if len(codes) == 1:
        return f"{codes[0]}'s review is kept until both are signed."
    return f"The reviews of {' and '.join(codes)} are kept until both are signed."


def _no_such_edition(
    by_them: Sequence[ReviewSession], edition: int | None, case_code: str
) -> UserFacingError:
    there = ", ".join(str(n) for n in sorted({s.edition for s in by_them}))
    return UserFacingError(
        f"There is no edition {edition} of that review of case {case_code}.",
        f"There is edition {there}.",
    )
