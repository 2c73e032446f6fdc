"""The first schema.

Revision 0001_first_schema, after nothing.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001_first_schema"
down_revision = None
branch_labels = None
depends_on = None

ID, CODE, WORD, TEXT = sa.String(36), sa.String(32), sa.String(16), sa.Text()
NUMBER, MOMENT = sa.BigInteger(), sa.DateTime(timezone=True)


def upgrade() -> None:
    _people_cases_clips()
    _sessions_and_journal()
    _entries()
    _derived()


def _column(name: str, kind: Any) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=False, autoincrement=False)


def _maybe(name: str, kind: Any) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=True)


def _check(rule: str, name: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(name))


def _table(name: str, *parts: Any) -> None:
    op.create_table(
        name, _column("id", ID), *parts, sa.PrimaryKeyConstraint("id", name=f"pk_{name}")
    )


def _entry_table(name: str, *parts: Any) -> None:
    owner = _owner("session_id", "sessions", f"fk_{name}_session_id_sessions")
    _table(name, _column("session_id", ID), *parts, _column("version", NUMBER), owner)
    op.create_index(f"ix_{name}_session_id", name, ["session_id"])


def _same_session(column: str, table: str, name: str) -> sa.ForeignKeyConstraint:
    target = [f"{table}.session_id", f"{table}.id"]
    return sa.ForeignKeyConstraint(
        ["session_id", column], target, name=name, deferrable=True, initially="DEFERRED"
    )


def _points(column: str, table: str, name: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{table}.id"], name=op.f(name))


def _owner(column: str, table: str, name: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{table}.id"], name=op.f(name), ondelete="CASCADE")


def _people_cases_clips() -> None:
    _table(
        "operators",
        _column("code", CODE),
        _column("level", WORD),
        _column("version", NUMBER),
        _check("level IN ('resident', 'fellow', 'attending')", "ck_operators_level"),
        sa.UniqueConstraint("code", name="uq_operators_code"),
    )
    _table(
        "reviewers", _column("code", CODE), sa.UniqueConstraint("code", name="uq_reviewers_code")
    )
    _table(
        "cases",
        _column("code", CODE),
        _column("operator_id", ID),
        _column("case_number", NUMBER),
        _column("vocabulary", TEXT),
        _column("length_us", NUMBER),
        _maybe("eye", sa.String(2)),
        _column("attributes", TEXT),
        _column("is_model", sa.Boolean()),
        _column("taken_in_at", MOMENT),
        _column("taken_in_by", TEXT),
        _column("version", NUMBER),
        _check("eye IN ('OD', 'OS')", "ck_cases_eye"),
        _check("case_number >= 1", "ck_cases_case_number"),
        _check("length_us >= 0", "ck_cases_length"),
        _points("operator_id", "operators", "fk_cases_operator_id_operators"),
        sa.UniqueConstraint("code", name="uq_cases_code"),
    )
    op.create_index("ix_cases_operator_id", "cases", ["operator_id"])
    _table(
        "clips",
        _column("case_id", ID),
        _column("ordinal", NUMBER),
        _column("path", TEXT),
        _column("fingerprint", TEXT),
        _column("full_hash", TEXT),
        _column("n_frames", NUMBER),
        _column("duration_us", NUMBER),
        _column("fps_mean", TEXT),
        _column("is_variable_rate", sa.Boolean()),
        _column("width", NUMBER),
        _column("height", NUMBER),
        _column("codec", TEXT),
        _column("version", NUMBER),
        _check("duration_us > 0", "ck_clips_duration"),
        _check("ordinal >= 0", "ck_clips_ordinal"),
        _owner("case_id", "cases", "fk_clips_case_id_cases"),
        sa.UniqueConstraint("case_id", "ordinal", name="uq_clips_case_id_ordinal"),
    )
    op.create_index("ix_clips_fingerprint", "clips", ["fingerprint"])


def _derived() -> None:
    op.create_table(
        "derived",
        _column("kind", TEXT),
        _column("fingerprint", TEXT),
        _column("version", TEXT),
        _column("content", sa.LargeBinary()),
        sa.PrimaryKeyConstraint("kind", "fingerprint", name="pk_derived"),
    )
    _table(
        "tracks",
        _column("clip_id", ID),
        _column("kind", TEXT),
        _column("algorithm", TEXT),
        _column("version", TEXT),
        _column("fingerprint", TEXT),
        _column("content", sa.LargeBinary()),
        _owner("clip_id", "clips", "fk_tracks_clip_id_clips"),
        sa.UniqueConstraint(
            "clip_id", "kind", "algorithm", name="uq_tracks_clip_id_kind_algorithm"
        ),
    )
    _table(
        "openings", _column("host", TEXT), _column("process", NUMBER), _column("opened_at", MOMENT)
    )


def _sessions_and_journal() -> None:
    _table(
        "sessions",
        _column("case_id", ID),
        _column("reviewer_id", ID),
        _column("reviewer_kind", WORD),
        _column("status", WORD),
        _column("started_at", MOMENT),
        _column("edited_at", MOMENT),
        _maybe("signed_at", MOMENT),
        _column("version", NUMBER),
        _check("(status = 'signed') = (signed_at IS NOT NULL)", "ck_sessions_signed"),
        _check("reviewer_kind IN ('attending', 'self', 'peer')", "ck_sessions_reviewer_kind"),
        _check("status IN ('draft', 'signed')", "ck_sessions_status"),
        _owner("case_id", "cases", "fk_sessions_case_id_cases"),
        _points("reviewer_id", "reviewers", "fk_sessions_reviewer_id_reviewers"),
    )
    op.create_index("ix_sessions_case_id_reviewer_id", "sessions", ["case_id", "reviewer_id"])
    op.create_index("ix_sessions_reviewer_id", "sessions", ["reviewer_id"])
    _table(
        "edits",
        _column("session_id", ID),
        _column("position", NUMBER),
        _column("kind", TEXT),
        _column("made_by", TEXT),
        _column("made_at", MOMENT),
        _maybe("undoes_id", ID),
        _column("state", WORD),
        _check("state IN ('done', 'undone', 'dropped', 'reversal', 'closed')", "ck_edits_state"),
        _owner("session_id", "sessions", "fk_edits_session_id_sessions"),
        _owner("undoes_id", "edits", "fk_edits_undoes_id_edits"),
        sa.UniqueConstraint("session_id", "position", name="uq_edits_session_id_position"),
    )
    op.create_index(
        "ix_edits_session_id_state_position", "edits", ["session_id", "state", "position"]
    )
    op.create_index("ix_edits_undoes_id", "edits", ["undoes_id"])
    op.create_table(
        "edit_changes",
        _column("edit_id", ID),
        _column("position", NUMBER),
        _column("table_name", CODE),
        _column("row_id", ID),
        _maybe("before_json", TEXT),
        _maybe("after_json", TEXT),
        _check("before_json IS NOT NULL OR after_json IS NOT NULL", "ck_edit_changes_image"),
        _owner("edit_id", "edits", "fk_edit_changes_edit_id_edits"),
        sa.PrimaryKeyConstraint("edit_id", "position", name="pk_edit_changes"),
    )
    op.create_index("ix_edit_changes_row_id", "edit_changes", ["row_id"])


def _entries() -> None:
    _entry_table(
        "marks",
        _column("kind", WORD),
        _column("start_us", NUMBER),
        _column("end_us", NUMBER),
        _column("points", TEXT),
        _column("text", TEXT),
        _check("kind IN ('arrow', 'ring', 'line', 'freehand', 'text')", "ck_marks_kind"),
        _check("end_us > start_us", "ck_marks_span"),
        _check("start_us >= 0", "ck_marks_start"),
        sa.UniqueConstraint("session_id", "id", name="uq_marks_session_id_id"),
    )
    _entry_table(
        "calibrations",
        _column("clip_id", ID),
        _column("start_us", NUMBER),
        _column("end_us", NUMBER),
        _column("reference", TEXT),
        _column("plane", TEXT),
        _column("length_mm", sa.Double()),
        _column("u_length_mm", sa.Double()),
        _column("points", TEXT),
        _column("mm_per_px", sa.Double()),
        _column("u_mm_per_px", sa.Double()),
        _check("start_us >= 0", "ck_calibrations_start"),
        _points("clip_id", "clips", "fk_calibrations_clip_id_clips"),
        sa.UniqueConstraint("session_id", "id", name="uq_calibrations_session_id_id"),
    )
    op.create_index("ix_calibrations_clip_id", "calibrations", ["clip_id"])
    _entry_table(
        "tags",
        _column("kind", WORD),
        _column("code", TEXT),
        _column("start_us", NUMBER),
        _maybe("end_us", NUMBER),
        _maybe("leaning", WORD),
        _maybe("weight", NUMBER),
        _column("comment", TEXT),
        _check("end_us IS NOT NULL OR kind = 'event'", "ck_tags_end"),
        _check("kind IN ('phase', 'event', 'idle', 'hand-over')", "ck_tags_kind"),
        _check("leaning IN ('commend', 'correct', 'neutral')", "ck_tags_leaning"),
        _check("end_us > start_us", "ck_tags_span"),
        _check("start_us >= 0", "ck_tags_start"),
        _check("weight IN (1, 2, 3)", "ck_tags_weight"),
    )
    _entry_table(
        "comments",
        _column("text", TEXT),
        _column("start_us", NUMBER),
        _maybe("end_us", NUMBER),
        _maybe("leaning", WORD),
        _maybe("weight", NUMBER),
        _column("phase", TEXT),
        _maybe("mark_id", ID),
        _check("leaning IN ('commend', 'correct', 'neutral')", "ck_comments_leaning"),
        _check("end_us > start_us", "ck_comments_span"),
        _check("start_us >= 0", "ck_comments_start"),
        _check("weight IN (1, 2, 3)", "ck_comments_weight"),
        _same_session("mark_id", "marks", "fk_comments_session_id_mark_id_marks"),
    )
    op.create_index("ix_comments_mark_id", "comments", ["mark_id"])
    _entry_table(
        "measurements",
        _column("kind", TEXT),
        _column("at_us", NUMBER),
        _column("points", TEXT),
        _column("value", sa.Double()),
        _column("u_value", sa.Double()),
        _column("unit", TEXT),
        _column("how", TEXT),
        _maybe("calibration_id", ID),
        _check("at_us >= 0", "ck_measurements_at"),
        _same_session(
            "calibration_id",
            "calibrations",
            "fk_measurements_session_id_calibration_id_calibrations",
        ),
    )
    op.create_index("ix_measurements_calibration_id", "measurements", ["calibration_id"])
    _entry_table(
        "scores",
        _column("rubric", TEXT),
        _column("rubric_version", TEXT),
        _column("item", TEXT),
        _column("state", TEXT),
        _maybe("value", NUMBER),
        _column("remark", TEXT),
    )
    _entry_table(
        "settings",
        _column("start_us", NUMBER),
        _column("end_us", NUMBER),
        _column("mode", TEXT),
        _maybe("vacuum_mmhg", sa.Double()),
        _maybe("flow_cc_min", sa.Double()),
        _maybe("power_percent", sa.Double()),
        _maybe("duty_cycle_percent", sa.Double()),
        _check("end_us > start_us", "ck_settings_span"),
        _check("start_us >= 0", "ck_settings_start"),
    )
