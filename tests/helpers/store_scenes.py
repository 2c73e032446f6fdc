"""Small stores for tests: one invented case, one session, one row of each kind, random rows."""

from __future__ import annotations

import sqlite3
import sys
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

from hypothesis import strategies as st

from annotate.case import Case, ClipRecord, Eye, ReviewSession
from annotate.ids import CaseId, ClipId, RowId, SessionId, new_id
from annotate.marks import Calibration, Mark, MarkKind, MarkLook, Measurement, Score, Setting
from annotate.markup import Row
from annotate.people import Operator, Reviewer, ReviewerKind, TrainingLevel
from annotate.tags import Comment, Leaning, Tag, TagKind
from store import Put, Store, open_store

BY = "A-01"
AT = datetime(2026, 3, 4, 5, 6, 7, 891011, tzinfo=UTC)


def clip(fingerprint: str, duration_us: int = 60_000_000) -> ClipRecord:
    return ClipRecord(
        id=ClipId(new_id()),
        path=f"somewhere/{fingerprint}.mp4",
        fingerprint=fingerprint,
        n_frames=1798,
        duration_us=duration_us,
        fps_mean=Fraction(30000, 1001),
        is_variable_rate=True,
        width=960,
        height=540,
        codec="h264",
    )


def case(code: str = "C-1", *clips: ClipRecord, number: int = 7, operator: str = "R-07") -> Case:
    return Case(
        id=CaseId(new_id()),
        code=code,
        operator=Operator(operator, TrainingLevel.RESIDENT),
        case_number=number,
        vocabulary="phaco-chop",
        clips=clips,
        length_us=sum(c.duration_us for c in clips) or 600_000_000,
        taken_in_at=AT,
        eye=Eye.OS,
        attributes={"grade": "3", "pupil": "small"},
    )


def with_session(store: Store, code: str = "C-1") -> tuple[Case, ReviewSession]:
    """Case of one clip and its draft session by reviewer A-01."""
    taken = store.take_in(case(code, clip(f"print-{code}")), BY)
    return taken, store.start_session(taken.id, Reviewer(BY, ReviewerKind.ATTENDING))


def tag(session_id: SessionId, start_us: int = 1_000_000, **other: object) -> Tag:
    made = Tag(RowId(new_id()), session_id, TagKind.PHASE, "sculpt", start_us, start_us + 2_000_000)
    return replace(made, **other)  # type: ignore[arg-type]


def one_of_each(session_id: SessionId, clip_id: ClipId, id_start: str = "") -> list[Row]:
    """One row of each kind, each optional field filled."""

    def row_id(n: int) -> RowId:
        return RowId(f"{id_start}{n:012d}" if id_start else new_id())

    mark, calibration = row_id(3), row_id(4)
    points = ((0.25, 0.5), (1 / 3, 0.75))
    return [
        Tag(
            row_id(1), session_id, TagKind.EVENT, "good-move", 5, None, Leaning.COMMEND, 2, "näher"
        ),
        Comment(row_id(2), session_id, "slow → stop", 7, 9, Leaning.CORRECT, 3, "chop", mark),
        Mark(
            mark,
            session_id,
            MarkKind.ARROW,
            1,
            4_000_000_000,
            points,
            "rim",
            MarkLook.AMBER,
            True,
            True,
            ((9, points),),
        ),
        Calibration(
            calibration, session_id, clip_id, 0, 9, "limbus", "iris", 11.7, 0.4, points, 0.02, 7e-4
        ),
        Measurement(
            row_id(5), session_id, "diameter", 8, points, 5.25, 0.2, "mm", "ellipse", calibration
        ),
        Score(row_id(6), session_id, "general", "1", "flow", "answered", 4, "steady"),
        Setting(
            row_id(7), session_id, 0, 3, "pulse", 80.0, 25.0, 40.0, 45.0, 30.0, 90.0, 66.0, 1.5, "M"
        ),
    ]


_TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=40)
_NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
_STARTS = st.integers(0, 10**13)
_LENGTHS = st.integers(1, 10**13)
_POINTS = st.lists(st.tuples(_NUMBERS, _NUMBERS), min_size=1, max_size=5).map(tuple)
_LEANINGS = st.none() | st.sampled_from(Leaning)
_WEIGHTS = st.none() | st.sampled_from((1, 2, 3))
_IDS = st.uuids().map(lambda u: RowId(str(u)))


@st.composite
def rows(draw: st.DrawFn, session_id: SessionId, clip_id: ClipId) -> Row:
    """Any row that stands by itself."""
    row_id, start = draw(_IDS), draw(_STARTS)
    end = start + draw(_LENGTHS)
    row_type = draw(st.sampled_from((Tag, Comment, Mark, Calibration, Measurement, Score, Setting)))
    own: dict[str, st.SearchStrategy[object]] = {"id": st.just(row_id)}
    own["session_id"] = st.just(session_id)
    if row_type is Tag:
        kind = draw(st.sampled_from(TagKind))
        ends = st.sampled_from((None, end)) if kind is TagKind.EVENT else st.just(end)
        own |= {"kind": st.just(kind), "code": _TEXT, "end_us": ends, "comment": _TEXT}
        own |= {"leaning": _LEANINGS, "weight": _WEIGHTS}
    elif row_type is Comment:
        own |= {"text": _TEXT, "end_us": st.sampled_from((None, end)), "leaning": _LEANINGS}
        own |= {"weight": _WEIGHTS, "phase": _TEXT}
    elif row_type is Mark:
        own |= {"kind": st.sampled_from(MarkKind), "end_us": st.just(end), "points": _POINTS}
        own |= {"text": _TEXT, "look": st.sampled_from(MarkLook)}
        own |= {"is_fading": st.booleans(), "is_following": st.booleans()}
    elif row_type is Calibration:
        own |= {"clip_id": st.just(clip_id), "end_us": st.just(end), "points": _POINTS}
        own |= dict.fromkeys(("reference", "plane"), _TEXT)
        own |= dict.fromkeys(("length_mm", "u_length_mm", "mm_per_px", "u_mm_per_px"), _NUMBERS)
    elif row_type is Measurement:
        own |= {"at_us": st.just(start), "points": _POINTS, "value": _NUMBERS, "u_value": _NUMBERS}
        own |= dict.fromkeys(("kind", "unit", "how"), _TEXT)
    elif row_type is Score:
        own |= dict.fromkeys(("rubric", "rubric_version", "item", "state", "remark"), _TEXT)
        own |= {"value": st.none() | st.integers(-9, 9)}
    else:
        own |= {"end_us": st.just(end), "mode": _TEXT}
        names = ("vacuum_mmhg", "flow_cc_min", "power_percent", "duty_cycle_percent")
        own |= {name: st.none() | _NUMBERS for name in names}
    if "at_us" not in own and row_type is not Score:
        own["start_us"] = st.just(start)
    return draw(st.builds(row_type, **own))


def all_rows(store: Store, session_id: SessionId) -> dict[str, Row]:
    """Everything a session says, by id."""
    markup = store.markup(session_id)
    lists = (
        markup.tags,
        markup.comments,
        markup.marks,
        markup.calibrations,
        markup.measurements,
        markup.scores,
        markup.settings,
    )
    return {row.id: row for rows_of_kind in lists for row in rows_of_kind}


KEPT_CASE = CaseId("00000000-0000-4000-8000-0000000000ca")
KEPT_CLIP = ClipId("00000000-0000-4000-8000-0000000000c1")
KEPT_ID_START = "00000000-0000-4000-8000-"


def fill_kept_store(store: Store) -> None:
    """Content of the small stores kept in tests/store/schemas/, one for each released schema."""
    kept = replace(case("C-1"), id=KEPT_CASE, clips=(replace(clip("print"), id=KEPT_CLIP),))
    store.take_in(replace(kept, length_us=60_000_000), BY)
    session = store.start_session(KEPT_CASE, Reviewer(BY))
    for row in reversed(one_of_each(session.id, KEPT_CLIP, KEPT_ID_START)):
        if not isinstance(row, Comment | Measurement):
            store.edit(session.id, "add", BY, Put(row))
    pointing = [
        row
        for row in one_of_each(session.id, KEPT_CLIP, KEPT_ID_START)
        if isinstance(row, Comment | Measurement)
    ]
    store.edit(session.id, "add two", BY, *map(Put, pointing))
    store.edit(session.id, "add a mistake", BY, Put(tag(session.id)))
    store.undo(session.id, BY)
    store.keep_derived("clip-index", "print", "1", b"\x00index")


if __name__ == "__main__":  # python tests/helpers/store_scenes.py NEW_FILE makes the kept store
    target = Path(sys.argv[1])
    whole = target.with_suffix(".whole")
    with open_store(whole) as made:
        fill_kept_store(made)
        made.backup_to(target)
    whole.unlink()
    with closing(sqlite3.connect(target, isolation_level=None)) as small:
        small.execute("DELETE FROM openings")
        small.execute("PRAGMA page_size = 512")
        small.execute("VACUUM")
