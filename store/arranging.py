"""The parts of a case moved, offset and added: one transaction, with every row on its pictures."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from annotate.case import Case, ClipRecord
from annotate.clock import LONGEST_US, format_time
from annotate.errors import UserFacingError
from annotate.ids import CaseId, ClipId, SessionId, new_id
from annotate.people import check_code
from annotate.rearranging import PlacedPart, Rearrangement
from store import cases
from store.changes import CaseEdit, PartPlace
from store.journal import close_undo_list, record
from store.models import CaseEditTable, CaseTable, ClipTable, EditState, SessionTable
from store.row_moves import move_rows
from store.watching import move_watched

ARRANGED = "parts of the recording moved"
ADDED = "parts of the recording added"
_OUT_OF_THE_WAY = 1_000_000


def arrange(db: Session, case_id: CaseId, order: Sequence[tuple[ClipId, int]], by: str) -> Case:
    """Put the parts into an order; see `store.desk_store.Store.arrange`."""
    check_code(by, "reviewer")
    stored, clips = _held(db, case_id)
    if sorted(clip_id for clip_id, _ in order) != sorted(clip.id for clip in clips):
        raise UserFacingError(
            "The case has other parts than those that were moved.",
            "Nothing was changed. Open the case again.",
        )
    by_id = {clip.id: clip for clip in clips}
    before, after = _parts(clips), [_part(by_id[clip_id], lead) for clip_id, lead in order]
    if before != after:
        moves = _checked(before, after)
        _place(db, [(by_id[clip_id], lead) for clip_id, lead in order])
        _carry_out(db, stored, moves, before, after, ARRANGED, by)
    return cases.find(db, case_id)


def add_clips(
    db: Session, case_id: CaseId, new: Sequence[ClipRecord], position: int, by: str
) -> Case:
    """Add parts to a case; see `store.desk_store.Store.add_clips`."""
    check_code(by, "reviewer")
    stored, clips = _held(db, case_id)
    if not clips:
        raise UserFacingError(
            f"Case {stored.code} is known by its tags alone.",
            "Nothing was added. Take the recording in as a case of its own.",
        )
    if not 0 <= position <= len(clips):
        raise ValueError(f"no place {position} among {len(clips)} parts")
    case = cases.find(db, case_id)
    if not new:
        return case
    cases.refuse_known_clips(db, replace(case, clips=tuple(new)))
    before = _parts(clips)
    added = [cases.stored_clip(case_id, _OUT_OF_THE_WAY * 2 + n, c) for n, c in enumerate(new)]
    db.add_all(added)
    db.flush()
    new_leads = [0 if position + n == 0 else clip.lead_us for n, clip in enumerate(new)]
    placed = [(clip, clip.lead_us) for clip in clips]
    if position < len(placed):  # it lay beside another part
        placed[position] = (placed[position][0], 0)
    placed[position:position] = list(zip(added, new_leads, strict=True))
    after = [_part(clip, lead) for clip, lead in placed]
    moves = _checked(before, after)
    _place(db, placed)
    _carry_out(db, stored, moves, before, after, ADDED, by)
    return cases.find(db, case_id)


def case_history(db: Session, case_id: CaseId) -> tuple[CaseEdit, ...]:
    """List what was done to a case's parts, oldest first."""
    found = db.scalars(
        select(CaseEditTable)
        .where(CaseEditTable.case_id == case_id)
        .order_by(CaseEditTable.position)
    )
    return tuple(
        CaseEdit(e.id, e.kind, e.made_by, e.made_at, _read(e.before_json), _read(e.after_json))
        for e in found
    )


def _held(db: Session, case_id: CaseId) -> tuple[CaseTable, list[ClipTable]]:
    """The case, held against other writers, and its clips in order."""
    stored = db.get(CaseTable, case_id, with_for_update=True)
    if stored is None:
        raise UserFacingError("The case is no longer in the store.", "Open another case.")
    clips = db.scalars(
        select(ClipTable).where(ClipTable.case_id == case_id).order_by(ClipTable.ordinal)
    )
    return stored, list(clips)


def _part(clip: ClipTable, lead_us: int) -> PlacedPart:
    return PlacedPart(ClipId(clip.id), clip.duration_us, lead_us)


def _parts(clips: Sequence[ClipTable]) -> list[PlacedPart]:
    return [_part(clip, clip.lead_us) for clip in clips]


def _checked(before: Sequence[PlacedPart], after: Sequence[PlacedPart]) -> Rearrangement:
    """The rearrangement, or a sentence on what cannot be so."""
    nothing = "Nothing was changed."
    if after[0].lead_us:
        raise UserFacingError(
            "The first part has nothing before it, so it takes no offset.", nothing
        )
    end_us, shown_us = 0, 0
    for place, part in enumerate(after):
        overlap_us = max(-part.lead_us, 0)
        if overlap_us >= part.duration_us or (place and overlap_us >= shown_us):
            which = "it" if overlap_us >= part.duration_us else "the part before"
            raise UserFacingError(
                f"Part {place + 1} cannot overlap the part before by {format_time(overlap_us)}: "
                f"nothing of {which} would be left to show.",
                nothing,
            )
        end_us += part.lead_us + part.duration_us
        shown_us = part.duration_us - overlap_us
    if end_us > LONGEST_US:
        raise UserFacingError("With these offsets the case is longer than any case.", nothing)
    return Rearrangement(before, after)


def _place(db: Session, placed: Sequence[tuple[ClipTable, int]]) -> None:
    """Number the clips anew, in two steps because no two may share a number in between."""
    for ordinal, (clip, lead_us) in enumerate(placed):
        clip.ordinal, clip.lead_us = _OUT_OF_THE_WAY + ordinal, lead_us
    db.flush()
    for ordinal, (clip, _) in enumerate(placed):
        clip.ordinal = ordinal
    db.flush()


def _carry_out(
    db: Session,
    stored: CaseTable,
    moves: Rearrangement,
    before: Sequence[PlacedPart],
    after: Sequence[PlacedPart],
    kind: str,
    by: str,
) -> None:
    """Take the rows of every session along, signed ones too: their pictures are the same.

    What was done before can be undone afterwards only where no time has changed, since the
    journal's images tell the times of then.
    """
    stored.length_us = moves.length_us
    db.flush()
    sessions = db.scalars(
        select(SessionTable.id).where(SessionTable.case_id == stored.id).order_by(SessionTable.id)
    )
    for session_id in map(SessionId, sessions.all()):
        changes = move_rows(db, session_id, moves)
        move_watched(db, session_id, moves)
        if changes or not moves.is_still:
            close_undo_list(db, session_id)
            record(db, session_id, kind=kind, by=by, state=EditState.CLOSED, changes=changes)
    last = db.scalar(
        select(func.max(CaseEditTable.position)).where(CaseEditTable.case_id == stored.id)
    )
    db.execute(
        insert(CaseEditTable).values(
            id=new_id(),
            case_id=stored.id,
            position=(last or 0) + 1,
            kind=kind,
            made_by=by,
            made_at=datetime.now(UTC),
            before_json=_written(before),
            after_json=_written(after),
        )
    )
    db.expire_all()


def _written(parts: Sequence[PlacedPart]) -> str:
    return json.dumps([{"clip": part.id, "lead_us": part.lead_us} for part in parts])


def _read(text: str) -> tuple[PartPlace, ...]:
    return tuple(PartPlace(ClipId(p["clip"]), p["lead_us"]) for p in json.loads(text))
