"""Tables of what a reviewer enters. Column names are the field names of annotate's types."""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    ForeignKey,
    ForeignKeyConstraint,
    String,
    UniqueConstraint,
    false,
)
from sqlalchemy.orm import Mapped, mapped_column

from annotate.marks import MarkKind, MarkLook
from annotate.tags import Leaning, TagKind
from store.base import Base, Id, SessionRow, one_of, proper_span


def _same_session(column: str, table: str) -> ForeignKeyConstraint:
    """Tie a row to another of its own session, checked at commit: order within an edit is free."""
    return ForeignKeyConstraint(
        ["session_id", column],
        [f"{table}.session_id", f"{table}.id"],
        deferrable=True,
        initially="DEFERRED",
    )


class TagTable(SessionRow, Base):
    """Phases, events, idle reasons, hand-overs."""

    __tablename__ = "tags"
    __table_args__ = (
        one_of("kind", TagKind),
        one_of("leaning", Leaning),
        CheckConstraint("weight IN (1, 2, 3)", name="weight"),
        CheckConstraint("end_us IS NOT NULL OR kind = 'event'", name="end"),
        *proper_span(),
    )

    kind: Mapped[str] = mapped_column(String(16))
    code: Mapped[str]
    start_us: Mapped[int]
    end_us: Mapped[int | None]
    leaning: Mapped[str | None] = mapped_column(String(16))
    weight: Mapped[int | None]
    comment: Mapped[str]


class CommentTable(SessionRow, Base):
    """What the reviewer says of a moment or a span."""

    __tablename__ = "comments"
    __table_args__ = (
        one_of("leaning", Leaning),
        CheckConstraint("weight IN (1, 2, 3)", name="weight"),
        *proper_span(),
        _same_session("mark_id", "marks"),
    )

    text: Mapped[str]
    start_us: Mapped[int]
    end_us: Mapped[int | None]
    leaning: Mapped[str | None] = mapped_column(String(16))
    weight: Mapped[int | None]
    phase: Mapped[str]
    mark_id: Mapped[Id | None] = mapped_column(index=True)


class MarkTable(SessionRow, Base):
    """Drawings on the picture; `points` is a JSON list of pairs, `anchors` of times with such."""

    __tablename__ = "marks"
    __table_args__ = (
        one_of("kind", MarkKind),
        one_of("look", MarkLook),
        *proper_span(),
        UniqueConstraint("session_id", "id"),
    )

    kind: Mapped[str] = mapped_column(String(16))
    start_us: Mapped[int]
    end_us: Mapped[int]
    points: Mapped[str]
    text: Mapped[str]
    look: Mapped[str] = mapped_column(String(16), server_default="chalk")
    is_fading: Mapped[bool] = mapped_column(server_default=false())
    is_following: Mapped[bool] = mapped_column(server_default=false())
    anchors: Mapped[str] = mapped_column(server_default="[]")


class CalibrationTable(SessionRow, Base):
    """Millimetres a pixel."""

    __tablename__ = "calibrations"
    __table_args__ = (
        CheckConstraint("start_us >= 0", name="start"),
        UniqueConstraint("session_id", "id"),
    )

    clip_id: Mapped[Id] = mapped_column(ForeignKey("clips.id"), index=True)
    start_us: Mapped[int]
    end_us: Mapped[int]
    reference: Mapped[str]
    plane: Mapped[str]
    length_mm: Mapped[float]
    u_length_mm: Mapped[float]
    points: Mapped[str]
    mm_per_px: Mapped[float]
    u_mm_per_px: Mapped[float]


class MeasurementTable(SessionRow, Base):
    """Lengths, diameters, angles, offsets."""

    __tablename__ = "measurements"
    __table_args__ = (
        CheckConstraint("at_us >= 0", name="at"),
        _same_session("calibration_id", "calibrations"),
    )

    kind: Mapped[str]
    at_us: Mapped[int]
    points: Mapped[str]
    value: Mapped[float]
    u_value: Mapped[float]
    unit: Mapped[str]
    how: Mapped[str]
    calibration_id: Mapped[Id | None] = mapped_column(index=True)


class ScoreTable(SessionRow, Base):
    """Answers on a rubric."""

    __tablename__ = "scores"

    rubric: Mapped[str]
    rubric_version: Mapped[str]
    item: Mapped[str]
    state: Mapped[str]
    value: Mapped[int | None]
    remark: Mapped[str]


class SettingTable(SessionRow, Base):
    """Machine values over a span."""

    __tablename__ = "settings"
    __table_args__ = proper_span()

    start_us: Mapped[int]
    end_us: Mapped[int]
    mode: Mapped[str]
    vacuum_mmhg: Mapped[float | None]
    flow_cc_min: Mapped[float | None]
    power_percent: Mapped[float | None]
    duty_cycle_percent: Mapped[float | None]
    torsional_percent: Mapped[float | None]
    bottle_cm: Mapped[float | None]
    pressure_mmhg: Mapped[float | None]
    energy_s: Mapped[float | None]
    machine: Mapped[str] = mapped_column(server_default="")
