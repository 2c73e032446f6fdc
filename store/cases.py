"""Cases and their clips."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from fractions import Fraction

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from annotate.case import Case, ClipRecord, Eye
from annotate.clock import shown
from annotate.errors import UserFacingError
from annotate.ids import CaseId, ClipId
from annotate.people import Operator, TrainingLevel, check_code
from store.models import CaseTable, ClipTable, OperatorTable
from store.rows import checked_text

MOST_CASES = 100_000
"""More cases than anybody operates; a larger number is a slip of the keyboard."""
_MOST_NAMED = 8


def take_in(db: Session, case: Case, by: str) -> Case:
    """Keep a new case with its clips; see `store.desk_store.Store.take_in`."""
    check_code(case.code, "case code")
    check_code(by, "reviewer")
    if not 1 <= case.case_number <= MOST_CASES:
        raise UserFacingError(
            f"{case.case_number} cannot be the case number.",
            f"Count the operator's cases from 1; {MOST_CASES} is the most.",
        )
    if db.scalar(select(CaseTable.id).where(CaseTable.code == case.code)):
        raise UserFacingError(
            f"There is a case {case.code} already.", "Give this case another code."
        )
    if db.get(CaseTable, case.id) is not None:
        raise UserFacingError(f"The case {case.code} is in the store already.")
    refuse_known_clips(db, case)
    operator = db.get(OperatorTable, case.operator.id)
    if operator is None:
        operator = OperatorTable(
            id=case.operator.id, code=case.operator.code, level=case.operator.level.value
        )
        db.add(operator)
        db.flush()
    stored = _stored_case(case, by)
    db.add(stored)
    db.flush()
    clips = [stored_clip(case.id, n, clip) for n, clip in enumerate(case.clips)]
    db.add_all(clips)
    return case_from(stored, operator_from(operator), clips)


def find(db: Session, code_or_id: str) -> Case:
    """Find one case by its code or id, or say which there are."""
    known = or_(CaseTable.code == code_or_id, CaseTable.id == code_or_id)
    found = db.execute(
        select(CaseTable, OperatorTable)
        .join(OperatorTable, OperatorTable.id == CaseTable.operator_id)
        .where(known)
    ).first()
    if found is None:
        codes = list(db.scalars(select(CaseTable.code).order_by(CaseTable.code)))
        raise UserFacingError(
            f"There is no case '{shown(code_or_id)}'.", _what_exists(code_or_id, codes)
        )
    stored, operator = found
    clips = db.scalars(
        select(ClipTable).where(ClipTable.case_id == stored.id).order_by(ClipTable.ordinal)
    ).all()
    return case_from(stored, operator_from(operator), clips)


def relocate_clip(db: Session, clip_id: ClipId, path: str) -> None:
    """Note where a clip's file is now."""
    _clip(db, clip_id).path = checked_text(path)


def keep_full_hash(db: Session, clip_id: ClipId, full_hash: str) -> None:
    """Note the hash of a clip's whole file."""
    _clip(db, clip_id).full_hash = full_hash


def operators(db: Session) -> tuple[Operator, ...]:
    """List the operators in order of code."""
    found = db.scalars(select(OperatorTable).order_by(OperatorTable.code))
    return tuple(operator_from(row) for row in found)


def operator_from(stored: OperatorTable) -> Operator:
    """Value of an operator."""
    return Operator(stored.code, TrainingLevel(stored.level))


def _clip(db: Session, clip_id: ClipId) -> ClipTable:
    clip = db.get(ClipTable, clip_id)
    if clip is None:
        raise UserFacingError("The clip is no longer in the store.", "Open the case again.")
    return clip


def refuse_known_clips(db: Session, case: Case) -> None:
    """Refuse a clip that comes twice, or that belongs to a case already."""
    fingerprints = [clip.fingerprint for clip in case.clips]
    if len(set(fingerprints)) < len(fingerprints):
        raise UserFacingError(
            f"The case {case.code} names the same clip twice.", "Give each clip once, in order."
        )
    known = db.execute(
        select(CaseTable.code, ClipTable.fingerprint)
        .join(ClipTable, ClipTable.case_id == CaseTable.id)
        .where(ClipTable.fingerprint.in_(fingerprints))
    ).first()
    if known is not None:
        clip = case.clips[fingerprints.index(known.fingerprint)]
        raise UserFacingError(
            f"The clip {_file_name(clip.path)} belongs to case {known.code} already.",
            f"Open case {known.code}, or choose another clip.",
        )


def _file_name(path: str) -> str:
    """Last part of a path of either system's kind."""
    return shown(path.replace("\\", "/").rsplit("/", 1)[-1], 80)


def _what_exists(wanted: str, codes: Sequence[str]) -> str:
    if not codes:
        return "The store holds no case yet: take one in first."
    if len(codes) > _MOST_NAMED:
        near = get_close_matches(wanted, codes, n=_MOST_NAMED, cutoff=0.4)
        named = near or codes[:_MOST_NAMED]
        return f"The store holds {len(codes)} cases, among them {', '.join(named)}."
    return f"The store holds {', '.join(codes)}."


def _stored_case(case: Case, by: str) -> CaseTable:
    return CaseTable(
        id=case.id,
        code=case.code,
        operator_id=case.operator.id,
        case_number=case.case_number,
        vocabulary=case.vocabulary,
        length_us=case.length_us,
        eye=case.eye.value if case.eye else None,
        attributes=checked_text(json.dumps(dict(case.attributes), sort_keys=True)),
        is_model=case.is_model,
        taken_in_at=case.taken_in_at,
        taken_in_by=by,
    )


def stored_clip(case_id: CaseId, ordinal: int, clip: ClipRecord) -> ClipTable:
    """Row of a clip."""
    rate = clip.fps_mean
    return ClipTable(
        id=clip.id,
        case_id=case_id,
        ordinal=ordinal,
        path=checked_text(clip.path),
        fingerprint=clip.fingerprint,
        full_hash=clip.full_hash,
        n_frames=clip.n_frames,
        duration_us=clip.duration_us,
        fps_mean=f"{rate.numerator}/{rate.denominator}",
        is_variable_rate=clip.is_variable_rate,
        width=clip.width,
        height=clip.height,
        codec=clip.codec,
        lead_us=clip.lead_us,
    )


def case_from(stored: CaseTable, operator: Operator, clips: Iterable[ClipTable]) -> Case:
    """Value of a case from its rows; `clips` in order."""
    return Case(
        id=CaseId(stored.id),
        code=stored.code,
        operator=operator,
        case_number=stored.case_number,
        vocabulary=stored.vocabulary,
        clips=tuple(_clip_from(clip) for clip in clips),
        length_us=stored.length_us,
        taken_in_at=stored.taken_in_at,
        eye=Eye(stored.eye) if stored.eye else None,
        attributes=json.loads(stored.attributes),
        is_model=stored.is_model,
    )


def _clip_from(stored: ClipTable) -> ClipRecord:
    return ClipRecord(
        id=ClipId(stored.id),
        path=stored.path,
        fingerprint=stored.fingerprint,
        n_frames=stored.n_frames,
        duration_us=stored.duration_us,
        fps_mean=Fraction(stored.fps_mean),
        is_variable_rate=stored.is_variable_rate,
        width=stored.width,
        height=stored.height,
        codec=stored.codec,
        full_hash=stored.full_hash,
        lead_us=stored.lead_us,
    )
