"""Whether a store is sound: SQLite's own check of the file, and its check of every reference."""

from __future__ import annotations

from sqlalchemy import Connection

from store.engine import Database
from store.trouble import plain_sentences

_MOST_LISTED = 20


def problems(database: Database) -> tuple[str, ...]:
    """List what is wrong with the store, one sentence each; empty when it is sound.

    A store on a server is looked after by the server: nothing is checked here.
    """
    if not database.is_file:
        return ()
    with plain_sentences(database.address.name), database.engine.connect() as connection:
        return (*_file_problems(connection), *reference_problems(connection))


def reference_problems(connection: Connection) -> tuple[str, ...]:
    """List rows of a SQLite store that point at rows which are not there."""
    found = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    return tuple(
        f"A row of {table} points at a row of {parent} that is not there."
        for table, _row, parent, _key in found[:_MOST_LISTED]
    )


def _file_problems(connection: Connection) -> tuple[str, ...]:
    rows = connection.exec_driver_sql(f"PRAGMA integrity_check({_MOST_LISTED})").scalars().all()
    return tuple(f"The file is damaged: {row}." for row in rows if row != "ok")
