"""Tables of the desk: people, cases, clips, sessions, the journal of edits, derived content."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, UniqueConstraint, false
from sqlalchemy.orm import Mapped, mapped_column

from annotate.case import Eye, SessionStatus
from annotate.people import ReviewerKind, TrainingLevel
from store.base import Base, Id, PrimaryId, Versioned, one_of, proper_span


class EditState(StrEnum):
    """Where an edit stands in its session's undo list."""

    DONE = "done"
    UNDONE = "undone"
    DROPPED = "dropped"
    REVERSAL = "reversal"
    CLOSED = "closed"


class OperatorTable(Versioned, Base):
    """Who performs cases."""

    __tablename__ = "operators"
    __table_args__ = (one_of("level", TrainingLevel),)

    id: Mapped[PrimaryId]
    code: Mapped[str] = mapped_column(String(32), unique=True)
    level: Mapped[str] = mapped_column(String(16))


class ReviewerTable(Base):
    """Who reviews. In what part, the session says: one's own case today, a peer's tomorrow."""

    __tablename__ = "reviewers"

    id: Mapped[PrimaryId]
    code: Mapped[str] = mapped_column(String(32), unique=True)


class CaseTable(Versioned, Base):
    """One operation; `attributes` is a JSON object of texts."""

    __tablename__ = "cases"
    __table_args__ = (
        one_of("eye", Eye),
        CheckConstraint("case_number >= 1", name="case_number"),
        CheckConstraint("length_us >= 0", name="length"),
    )

    id: Mapped[PrimaryId]
    code: Mapped[str] = mapped_column(String(32), unique=True)
    operator_id: Mapped[Id] = mapped_column(ForeignKey("operators.id"), index=True)
    case_number: Mapped[int]
    vocabulary: Mapped[str]
    length_us: Mapped[int]
    eye: Mapped[str | None] = mapped_column(String(2))
    attributes: Mapped[str]
    is_model: Mapped[bool]
    taken_in_at: Mapped[datetime]
    taken_in_by: Mapped[str]


class ClipTable(Versioned, Base):
    """One video file of a case; `fps_mean` is a fraction such as 30000/1001, `lead_us` signed."""

    __tablename__ = "clips"
    __table_args__ = (
        UniqueConstraint("case_id", "ordinal"),
        CheckConstraint("duration_us > 0", name="duration"),
        CheckConstraint("ordinal >= 0", name="ordinal"),
    )

    id: Mapped[PrimaryId]
    case_id: Mapped[Id] = mapped_column(ForeignKey("cases.id", ondelete="CASCADE"))
    ordinal: Mapped[int]
    path: Mapped[str]
    fingerprint: Mapped[str] = mapped_column(index=True)
    full_hash: Mapped[str]
    n_frames: Mapped[int]
    duration_us: Mapped[int]
    fps_mean: Mapped[str]
    is_variable_rate: Mapped[bool]
    width: Mapped[int]
    height: Mapped[int]
    codec: Mapped[str]
    lead_us: Mapped[int] = mapped_column(server_default="0")


class CaseEditTable(Base):
    """A change to a case itself: how its parts were arranged before and after, as JSON."""

    __tablename__ = "case_edits"
    __table_args__ = (UniqueConstraint("case_id", "position"),)

    id: Mapped[PrimaryId]
    case_id: Mapped[Id] = mapped_column(ForeignKey("cases.id", ondelete="CASCADE"))
    position: Mapped[int]
    kind: Mapped[str]
    made_by: Mapped[str]
    made_at: Mapped[datetime]
    before_json: Mapped[str]
    after_json: Mapped[str]


class SessionTable(Versioned, Base):
    """One reviewer's review of one case.

    Case and reviewer are not unique together: a signed review may be followed by another,
    and two desks' reviews may meet in one store.
    """

    __tablename__ = "sessions"
    __table_args__ = (
        one_of("reviewer_kind", ReviewerKind),
        one_of("status", SessionStatus),
        CheckConstraint("(status = 'signed') = (signed_at IS NOT NULL)", name="signed"),
        Index(None, "case_id", "reviewer_id"),
    )

    id: Mapped[PrimaryId]
    case_id: Mapped[Id] = mapped_column(ForeignKey("cases.id", ondelete="CASCADE"))
    reviewer_id: Mapped[Id] = mapped_column(ForeignKey("reviewers.id"), index=True)
    reviewer_kind: Mapped[str] = mapped_column(String(16))
    status: Mapped[str] = mapped_column(String(16))
    started_at: Mapped[datetime]
    edited_at: Mapped[datetime]
    signed_at: Mapped[datetime | None]
    edition: Mapped[int] = mapped_column(server_default="1")
    follows_id: Mapped[Id | None] = mapped_column(ForeignKey("sessions.id"), index=True)
    content_hash: Mapped[str] = mapped_column(server_default="")
    is_veiled: Mapped[bool] = mapped_column(server_default=false())
    vocabulary_hash: Mapped[str] = mapped_column(server_default="")


class WatchedTable(Base):
    """A stretch that a reviewer watched; never edited, so outside the journal."""

    __tablename__ = "watched"
    __table_args__ = (*proper_span(), CheckConstraint("speed > 0", name="speed"))

    id: Mapped[PrimaryId]
    session_id: Mapped[Id] = mapped_column(
        ForeignKey("sessions.id", ondelete="CASCADE"), index=True
    )
    start_us: Mapped[int]
    end_us: Mapped[int]
    speed: Mapped[float]
    watched_at: Mapped[datetime]


class VocabularyTable(Base):
    """A vocabulary as it was when a review was begun with it, its file's text whole."""

    __tablename__ = "vocabularies"

    content_hash: Mapped[str] = mapped_column(String(64), primary_key=True)
    name: Mapped[str] = mapped_column(index=True)
    edition: Mapped[str]
    text: Mapped[str]
    kept_at: Mapped[datetime]


class EditTable(Base):
    """One edit: one transaction, one undo step. `position` counts up within the session."""

    __tablename__ = "edits"
    __table_args__ = (
        one_of("state", EditState),
        UniqueConstraint("session_id", "position"),
        Index(None, "session_id", "state", "position"),
    )

    id: Mapped[PrimaryId]
    session_id: Mapped[Id] = mapped_column(ForeignKey("sessions.id", ondelete="CASCADE"))
    position: Mapped[int]
    kind: Mapped[str]
    made_by: Mapped[str]
    made_at: Mapped[datetime]
    undoes_id: Mapped[Id | None] = mapped_column(
        ForeignKey("edits.id", ondelete="CASCADE"), index=True
    )
    state: Mapped[str] = mapped_column(String(16))


class EditChangeTable(Base):
    """What one edit did to one row: its JSON before and after, empty where there was none."""

    __tablename__ = "edit_changes"
    __table_args__ = (
        CheckConstraint("before_json IS NOT NULL OR after_json IS NOT NULL", name="image"),
    )

    edit_id: Mapped[Id] = mapped_column(
        ForeignKey("edits.id", ondelete="CASCADE"), primary_key=True
    )
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    table_name: Mapped[str] = mapped_column(String(32))
    row_id: Mapped[Id] = mapped_column(index=True)
    before_json: Mapped[str | None]
    after_json: Mapped[str | None]


class RowPieceTable(Base):
    """A row that was torn off another when parts moved; it joins it again when they meet again."""

    __tablename__ = "row_pieces"

    row_id: Mapped[PrimaryId]
    session_id: Mapped[Id] = mapped_column(
        ForeignKey("sessions.id", ondelete="CASCADE"), index=True
    )
    origin_id: Mapped[Id]


class TrackTable(Base):
    """Derived rows over a clip's frames; may be deleted at any time."""

    __tablename__ = "tracks"
    __table_args__ = (UniqueConstraint("clip_id", "kind", "algorithm"),)

    id: Mapped[PrimaryId]
    clip_id: Mapped[Id] = mapped_column(ForeignKey("clips.id", ondelete="CASCADE"))
    kind: Mapped[str]
    algorithm: Mapped[str]
    version: Mapped[str]
    fingerprint: Mapped[str]
    content: Mapped[bytes]


class DerivedTable(Base):
    """Anything else derived from a clip: its index, thumbnails; may be deleted at any time."""

    __tablename__ = "derived"

    kind: Mapped[str] = mapped_column(primary_key=True)
    fingerprint: Mapped[str] = mapped_column(primary_key=True)
    version: Mapped[str]
    content: Mapped[bytes]


class OpeningTable(Base):
    """A desk that has the store open; a row whose desk is gone tells of an unclean end."""

    __tablename__ = "openings"

    id: Mapped[PrimaryId]
    host: Mapped[str]
    process: Mapped[int]
    opened_at: Mapped[datetime]
