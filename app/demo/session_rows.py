"""A reviewer's session on a rendered case: tags from the truth, comments and marks on them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from annotate.ids import RowId, SessionId, new_id
from annotate.marks import Mark, Setting
from annotate.markup import Row
from annotate.tags import Comment, TagKind
from app.demo.case_truth import CaseTruth
from app.demo.mark_places import best_frame, mark_points
from app.demo.moment import Moment
from app.demo.remarks import HandOver, MachinePlan, MarkPlan, Remark, ReviewPlan

MARK_US = 2_500_000
"""How long a mark stands on the picture."""
SEARCH_US = 3_000_000
"""How far beyond the moment of a remark its mark's frame is looked for."""


def session_rows(session_id: SessionId, plan: ReviewPlan, truth: CaseTruth) -> list[Row]:
    """Make all rows of a session; marks before the comments that point at them.

    Raises
    ------
    ValueError
        If a remark speaks of something that the case has not.
    """
    moments = truth.moments()
    spoken_of = {_subject(remark, moments) for remark in plan.remarks}
    rows: list[Row] = [
        (replace(moment, note="") if moment in spoken_of else moment).tag(session_id)
        for moment in moments
        if moment.kind in plan.kinds and moment.code not in plan.without
    ]
    rows += [_hand_over(wanted, moments).tag(session_id) for wanted in plan.hand_overs]
    rows += [_setting(session_id, wanted, moments) for wanted in plan.machine]
    for remark in plan.remarks:
        rows += _remark_rows(session_id, remark, _subject(remark, moments), truth)
    return rows


def _subject(remark: Remark, moments: Iterable[Moment]) -> Moment:
    """What a remark is about."""
    alike = [m for m in moments if m.kind is remark.kind and m.code == remark.code]
    if len(alike) < remark.nth:
        raise ValueError(f"the case has no {remark.code} number {remark.nth}")
    return alike[remark.nth - 1]


def _hand_over(wanted: HandOver, moments: Iterable[Moment]) -> Moment:
    """From the end of an event to the end of the phase in which that lies."""
    found = list(moments)
    event = next(m for m in found if m.kind is TagKind.EVENT and m.code == wanted.after_event)
    start_us = event.end_us or event.start_us
    phase = next(
        m
        for m in found
        if m.kind is TagKind.PHASE and m.code == wanted.until_phase and (m.end_us or 0) > start_us
    )
    return Moment(TagKind.HAND_OVER, wanted.who, start_us, phase.end_us)


def _setting(session_id: SessionId, wanted: MachinePlan, moments: Iterable[Moment]) -> Setting:
    """Machine values over the visit of a phase."""
    visits = [m for m in moments if m.kind is TagKind.PHASE and m.code == wanted.phase]
    visit = visits[wanted.nth - 1]
    if visit.end_us is None:
        raise ValueError(f"{wanted.phase} has no end")
    return Setting(RowId(new_id()), session_id, visit.start_us, visit.end_us, **wanted.values)


def _remark_rows(
    session_id: SessionId, remark: Remark, subject: Moment, truth: CaseTruth
) -> list[Row]:
    length_us = (subject.end_us or subject.start_us) - subject.start_us
    is_event = subject.kind is TagKind.EVENT
    start_us = subject.start_us + (0 if is_event else round(remark.at * length_us))
    start_us = min(start_us, truth.length_us - 1)
    marks = [_mark(session_id, remark.mark, start_us, subject, truth)] if remark.mark else []
    comment = Comment(
        id=RowId(new_id()),
        session_id=session_id,
        text=remark.text,
        start_us=start_us,
        end_us=subject.end_us if is_event else None,
        leaning=remark.leaning,
        weight=remark.weight,
        phase="" if is_event else subject.code,
        mark_id=marks[0].id if marks else None,
    )
    return [*marks, comment]


def _mark(
    session_id: SessionId, plan: MarkPlan, start_us: int, subject: Moment, truth: CaseTruth
) -> Mark:
    """A mark on the frame that shows best what is meant, or soon after where none does."""
    is_span = subject.kind is TagKind.EVENT and subject.end_us is not None
    end_us = (subject.end_us or start_us) if is_span else start_us + SEARCH_US
    frame = best_frame(plan, truth.frames(start_us, end_us))
    if frame is None:
        frame = best_frame(plan, truth.frames(end_us, end_us + SEARCH_US))
    if frame is None:
        raise ValueError(f"no frame near {start_us} us shows the {plan.on}")
    return Mark(
        id=RowId(new_id()),
        session_id=session_id,
        kind=plan.kind,
        start_us=frame.time_us,
        end_us=min(frame.time_us + MARK_US, truth.length_us),
        points=mark_points(plan, frame),
        text=plan.says,
        look=plan.look,
        is_following=plan.follows,
    )
