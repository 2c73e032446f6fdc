"""The full-text index of what reviewers wrote; SQLite alone has it."""

from __future__ import annotations

from sqlalchemy import DDL, BigInteger, Integer, String, event
from sqlalchemy.orm import Mapped, mapped_column

from store.base import Base, Id

MAKE_INDEX = (
    "CREATE VIRTUAL TABLE search_words USING fts5("
    "words, code, tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3')"
)


class SearchRowTable(Base):
    """Number of a row in the index `search_words`, which knows rows by number alone."""

    __tablename__ = "search_rows"

    id: Mapped[int] = mapped_column(
        BigInteger().with_variant(Integer(), "sqlite"), primary_key=True, autoincrement=True
    )
    row_id: Mapped[Id] = mapped_column(unique=True)
    table_name: Mapped[str] = mapped_column(String(32))


event.listen(
    Base.metadata,
    "after_create",
    DDL(MAKE_INDEX).execute_if(dialect="sqlite"),  # type: ignore[no-untyped-call]
)
