"""The demo caseload, made once in a store of its own.

The scenario is invented: operators, reviewers, cases, figures and remarks are nobody's. The
rendered cases are shown shortened in time; the cases that are known by their tags alone have the
length of real ones.
"""

from __future__ import annotations

import contextlib
import glob
import os
import time
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from annotate.case import Case, ReviewSession, SessionStatus
from annotate.clip import fingerprint
from annotate.errors import UserFacingError
from annotate.ids import CaseId, new_id
from annotate.markup import Row
from annotate.people import Operator, Reviewer, ReviewerKind
from annotate.vocabulary_file import shipped_vocabulary
from annotate.watching import Watched
from app.demo.learning_curve import LEARNERS
from app.demo.remarks import ReviewPlan, review_plans
from app.demo.rendered import RenderedCase, rendered_cases
from app.demo.review_steps import Step, review_steps
from app.demo.session_rows import session_rows
from app.demo.tag_only import TagOnlyCase, make_case
from app.intake.take_in import take_in
from app.jobs.work import Work
from app.vocabulary.words import keep_words
from store import Put, Store, open_store
from store.engine import read_address

OPENS_WITH = "R-07-041"
"""The case to open first: in two parts, reviewed, still a draft so that tagging can be tried."""
ATTENDING = Reviewer("A-01")
_VERSION = "1"
_MADE = ("demo-caseload", "whole")
_WHOLE = "The whole review written"
_LEFT_S = 600.0
"""A making takes seconds; one that has not written for this long was killed."""
_DAYS_A_CASE = {"R-07": 5, "R-03": 9, "R-11": 2}
_N_DRAFTS = 1
"""Of the newest tag-only cases of each operator, how many are still in review."""


def make_demo_store(address: str, work: Work) -> str:
    """Make the demo caseload at an address, unless it is whole there already.

    A new file is made beside its place and moved there when it is whole. A store that is there
    and lacks something is completed case by case, so that what has been kept stays sound.

    Parameters
    ----------
    address : str
        Path of a SQLite file, or a SQLAlchemy URL.
    work : Work
        Is told how far it is, and may stop it.

    Returns
    -------
    str
        Code of the case to open first.

    Raises
    ------
    UserFacingError
        If the place cannot be written, holds a store of other cases, or sample clips are missing.
    Cancelled
        If the user stopped it; no new store is left then.
    """
    work.title = "Making the demo caseload"
    place = read_address(address).path
    if place is not None and not _is_begun(place):
        _make_aside(place, work)
        return OPENS_WITH
    with open_store(address) as store:
        is_whole = store.derived(*_MADE, _VERSION) is not None
        is_stale = is_whole and not _bring_clips_home(store)
        if not is_whole:
            _refuse_other_cases(store)
            _fill(store, work)
    if is_stale and place is not None:
        _move(place, place.with_name(f"{place.stem}.earlier{place.suffix}"))
        _make_aside(place, work)
    return OPENS_WITH


def _is_begun(place: Path) -> bool:
    """Whether something is at the place that must not be overwritten."""
    return place.is_dir() or (place.is_file() and place.stat().st_size > 0)


def _make_aside(place: Path, work: Work) -> None:
    """Make the store under a name of this process, and give it its own when it is whole."""
    _sweep(place)
    part = place.with_name(f"{place.name}.{os.getpid()}.part")
    _remove(part)
    try:
        with open_store(part) as store:
            _fill(store, work)
    except BaseException:
        _remove(part)
        raise
    if _is_begun(place):
        _remove(part)  # another desk was quicker
        return
    _remove(place)  # it holds nothing, but what lay beside a store of that name would be replayed
    _move(part, place)


def _sweep(place: Path) -> None:
    """Remove what makings that were killed have left."""
    for left in place.parent.glob(f"{glob.escape(place.name)}.*.part"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > _LEFT_S:
                _remove(left)


def _remove(path: Path) -> None:
    """Remove a SQLite file with what lies beside it, as far as that can be."""
    for ending in ("", "-wal", "-shm"):
        with contextlib.suppress(OSError):
            path.with_name(path.name + ending).unlink(missing_ok=True)


def _move(source: Path, target: Path) -> None:
    """Rename a store that nobody has open."""
    try:
        if source.with_name(f"{source.name}-wal").exists():
            raise FileExistsError(source.name)
        source.replace(target)
    except OSError as error:
        raise UserFacingError(
            f"The demo store {target.name} cannot be put in its place.",
            "Close other windows of this program and try again.",
        ) from error


def _refuse_other_cases(store: Store) -> None:
    """Leave a store alone that lacks demo cases and has others: it is somebody's own."""
    there = {row.case.code for row in store.cases()}
    ours = {case.code for case in rendered_cases()} | {_code(c) for c in _tag_only_cases()}
    if there - ours and ours - there:
        raise UserFacingError(
            f"The store {store.name} holds cases that are not the demo's.",
            "Nothing was changed. Name another place for the demo's store.",
        )


def _bring_clips_home(store: Store) -> bool:
    """Note where the sample clips are now; False if they are other clips than those taken in."""
    for rendered in rendered_cases():
        case = store.case(rendered.code)
        for clip, path in zip(case.clips, rendered.clips, strict=False):
            if clip.fingerprint != fingerprint(path):
                return False
            if not Path(clip.path).is_file():
                store.relocate_clip(clip.id, path.resolve())
    return True


def _fill(store: Store, work: Work) -> None:
    """Put in whatever is not there yet, and note that all is.

    The case to open first comes last, so that the newest stands on top of the list.
    """
    rendered = rendered_cases()[::-1]
    tag_only = _tag_only_cases()
    there = {row.case.code for row in store.cases()}
    total = 4 * len(rendered) + len(tag_only)  # a clip takes about as long as four tag-only cases
    done = 0
    now = datetime.now(UTC)
    for made in tag_only:
        work.advance(done, total)
        _put_tag_only(store, made, there, now)
        done += 1
    for case in rendered:
        work.advance(done, total)
        _put_rendered(store, case, there, work)
        done += 4
    store.keep_derived(*_MADE, _VERSION, b"")
    work.advance(total, total)


_WATCHED = {
    False: ((0.0, 0.62, 1.0), (0.45, 0.9, 2.0), (0.9, 1.0, 4.0)),
    True: ((0.0, 0.5, 1.0), (0.5, 0.7, 4.0), (0.78, 1.0, 2.0)),
}
"""Shares of a rendered case that ran in a review, and how fast; True for a self-review."""


def _put_rendered(store: Store, rendered: RenderedCase, there: set[str], work: Work) -> None:
    """Take a rendered case in and review it as planned."""
    if rendered.code in there:
        case = store.case(rendered.code)
    else:
        reading = Work("Reading the sample clips", cancel=work.cancel)
        case = take_in(store, rendered.intake, ATTENDING.code, reading)
    for plan in review_plans():
        if plan.case == rendered.code:
            _review_rendered(store, case, rendered, plan)


def _review_rendered(store: Store, case: Case, rendered: RenderedCase, plan: ReviewPlan) -> None:
    session = store.start_session(case.id, plan.reviewer, _words_hash(store, case))
    rows = session_rows(session.id, plan, rendered.truth(case))
    if session.status is SessionStatus.DRAFT and not store.watched(session.id):
        runs = _WATCHED[plan.reviewer.kind is ReviewerKind.SELF]
        store.keep_watched(session.id, [_run(case.length_us, *run) for run in runs])
    steps = review_steps(rows, shipped_vocabulary(case.vocabulary))
    _review(store, session, steps, is_signed=plan.is_signed)


def _run(length_us: int, start: float, end: float, speed: float) -> Watched:
    return Watched(round(start * length_us), round(end * length_us), speed)


def _put_tag_only(store: Store, made: TagOnlyCase, there: set[str], now: datetime) -> None:
    """Keep a tag-only case as if it had been taken in when it was operated."""
    code = _code(made)
    case = store.case(code) if code in there else store.take_in(_case(made, now), ATTENDING.code)
    session = store.start_session(case.id, ATTENDING, _words_hash(store, case))
    rows: list[Row] = [moment.tag(session.id) for moment in made.moments]
    is_newest = made.number in made.learner.numbers[-_N_DRAFTS:]
    # what is signed is final, so nobody takes a step of it back: one is as good, and quicker
    words = shipped_vocabulary(case.vocabulary)
    steps = review_steps(rows, words) if is_newest else (Step(_WHOLE, tuple(rows), 0.0),)
    _review(store, session, steps, is_signed=not is_newest)


def _words_hash(store: Store, case: Case) -> str:
    """The words that the demo's reviews were made with are those that are shipped."""
    return keep_words(store, shipped_vocabulary(case.vocabulary))


def _review(
    store: Store, session: ReviewSession, steps: Sequence[Step], *, is_signed: bool
) -> None:
    """Keep a session's steps, or those that an earlier making did not come to."""
    if session.status is SessionStatus.SIGNED:
        return
    by, now = session.reviewer.code, datetime.now(UTC)
    done = [record.kind for record in store.history(session.id)]
    if done == [step.kind for step in steps[: len(done)]]:
        for step in steps[len(done) :]:
            at = now - timedelta(seconds=step.ago_s)
            store.edit(session.id, step.kind, by, *map(Put, step.rows), at=at)
    if is_signed:
        store.sign(session.id, by)


def _tag_only_cases() -> list[TagOnlyCase]:
    return [make_case(learner, number) for learner in LEARNERS for number in learner.numbers]


def _code(made: TagOnlyCase) -> str:
    return f"{made.learner.code}-{made.number:03d}"


def _case(made: TagOnlyCase, now: datetime) -> Case:
    learner = made.learner
    ago = 6 + (learner.numbers[-1] - made.number) * _DAYS_A_CASE[learner.code]
    return Case(
        id=CaseId(new_id()),
        code=_code(made),
        operator=Operator(learner.code, learner.level),
        case_number=made.number,
        vocabulary=made.vocabulary,
        clips=(),
        length_us=made.length_us,
        taken_in_at=now - timedelta(days=ago),
        eye=made.eye,
        attributes=made.attributes,
    )
