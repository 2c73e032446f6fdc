from __future__ import annotations

import pytest
from sqlalchemy import BigInteger, Integer
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateIndex, CreateTable

from store.base import Base


@pytest.mark.parametrize("table", Base.metadata.sorted_tables, ids=lambda table: str(table.name))
def test_every_table_can_be_made_on_the_other_database_too(table) -> None:  # type: ignore[no-untyped-def]
    made = str(CreateTable(table).compile(dialect=postgresql.dialect()))
    for index in table.indexes:
        made += str(CreateIndex(index).compile(dialect=postgresql.dialect()))
    assert f"CREATE TABLE {table.name}" in made
    assert "TIMESTAMP WITHOUT TIME ZONE" not in made


@pytest.mark.parametrize("table", Base.metadata.sorted_tables, ids=lambda table: str(table.name))
def test_constraints_have_names_and_whole_numbers_64_bits(table) -> None:  # type: ignore[no-untyped-def]
    for constraint in table.constraints:
        assert constraint.name, constraint
        assert len(str(constraint.name)) <= 63, "the longest name that every database takes"
    for column in table.columns:
        assert not isinstance(column.type, Integer) or isinstance(column.type, BigInteger), column
