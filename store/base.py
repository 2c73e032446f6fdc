"""What every table shares: names of constraints, types of columns, ids, versions."""

from __future__ import annotations

from datetime import UTC, datetime
from enum import StrEnum
from typing import Annotated, Any

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    DateTime,
    Dialect,
    Double,
    ForeignKey,
    LargeBinary,
    MetaData,
    String,
    Text,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, declared_attr, mapped_column
from sqlalchemy.types import TypeDecorator

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class UtcTime(TypeDecorator[datetime]):
    """A moment in UTC; SQLite drops time zones, so they are put on and taken off here."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Refuse a moment without a zone, turn any other to UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a moment needs a time zone")
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """Return the moment in UTC."""
        if value is None:
            return None
        moment: datetime = value
        return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


class Base(DeclarativeBase):
    """Parent of all tables. Microseconds outgrow 32 bits, so whole numbers are 64."""

    metadata = MetaData(naming_convention=NAMES)
    type_annotation_map = {  # noqa: RUF012 - SQLAlchemy reads it from the class
        int: BigInteger(),
        str: Text(),
        float: Double(),
        bytes: LargeBinary(),
        datetime: UtcTime(),
    }


Id = Annotated[str, mapped_column(String(36))]
PrimaryId = Annotated[str, mapped_column(String(36), primary_key=True)]


class Versioned:
    """A row that people edit: two writers who both read version n cannot both write n + 1."""

    version: Mapped[int] = mapped_column(sort_order=90)

    @declared_attr.directive
    def __mapper_args__(cls) -> dict[str, Any]:  # noqa: N805 - SQLAlchemy passes the class
        return {"version_id_col": cls.version}


class SessionRow(Versioned):
    """A row that one session owns."""

    id: Mapped[PrimaryId] = mapped_column(sort_order=-20)
    session_id: Mapped[Id] = mapped_column(
        ForeignKey("sessions.id", ondelete="CASCADE"), index=True, sort_order=-10
    )


def one_of(column: str, choices: type[StrEnum]) -> CheckConstraint:
    """CHECK that a column holds one of a closed set's values, or nothing where it may be empty."""
    values = ", ".join(f"'{choice.value}'" for choice in choices)
    return CheckConstraint(f"{column} IN ({values})", name=column)


def proper_span() -> tuple[CheckConstraint, CheckConstraint]:
    """CHECKs that a span begins in the case and ends after it begins."""
    return (
        CheckConstraint("start_us >= 0", name="start"),
        CheckConstraint("end_us > start_us", name="span"),
    )
