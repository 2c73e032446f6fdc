"""Stores, cases and presenters for tests of the desk."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from new_stores import new_store

from annotate.case import Case, Eye
from annotate.ids import CaseId, new_id
from annotate.people import Operator, Reviewer
from annotate.vocabulary_file import shipped_vocabulary
from app.review.presenter import ReviewPresenter
from store import Store

S = 1_000_000
VOCABULARY = "phaco-divide-conquer"


def tag_only_case(code: str = "R-07-003", length_us: int = 100 * S) -> Case:
    """A case known by its tags alone."""
    return Case(
        id=CaseId(new_id()),
        code=code,
        operator=Operator("R-07"),
        case_number=3,
        vocabulary=VOCABULARY,
        clips=(),
        length_us=length_us,
        taken_in_at=datetime(2026, 3, 1, tzinfo=UTC),
        eye=Eye.OD,
    )


def opened(folder: Path) -> Store:
    """A new store in a folder."""
    return new_store(folder / "desk.sqlite")


def presenter_on(store: Store, case: Case | None = None, me: str = "A-01") -> ReviewPresenter:
    """A session of `me` on a case, which is taken in first."""
    kept = store.take_in(case or tag_only_case(), me)
    session = store.start_session(kept.id, Reviewer(me))
    return ReviewPresenter(store, kept, session, shipped_vocabulary(VOCABULARY), 0.4, me)
