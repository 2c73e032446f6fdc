"""What happens when a store is opened, in this order.

A newer schema is refused; after an unclean end the file is checked; before a migration it is
copied; then it is migrated, and its references are checked before that is kept.
"""

from __future__ import annotations

import os
import socket
from datetime import UTC, datetime
from pathlib import Path
from uuid import uuid4

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, delete, inspect, select

from annotate.errors import UserFacingError
from store.backup import backup_to
from store.engine import Address, Database, keep_private, make_engine, prepare_file
from store.health import problems, reference_problems
from store.models import OpeningTable
from store.trouble import plain_sentences

MIGRATIONS = Path(__file__).with_name("migrations")
VERSION_TABLE = "schema_version"
_ours: set[str] = set()
"""Openings by this process that still last."""


def open_database(address: Address, wait_s: float, migrations: Path = MIGRATIONS) -> Database:
    """Open the store at `address`, bring it up to date and check what needs checking.

    Raises
    ------
    UserFacingError
        If it is newer than this program, is something else, is damaged, or cannot be written.
    """
    prepare_file(address)
    database = Database(address, wait_s)
    try:
        with plain_sentences(address.name):
            _bring_up(database, wait_s, migrations)
    except BaseException:
        database.close()
        raise
    return database


def enrol(database: Database) -> str:
    """Note that this desk has the store open; returns the note's id."""
    opening = OpeningTable(
        id=str(uuid4()),
        host=socket.gethostname(),
        process=os.getpid(),
        opened_at=datetime.now(UTC),
    )
    with database.writing() as db:
        db.add(opening)
    _ours.add(opening.id)
    return opening.id


def leave(database: Database, opening_id: str) -> None:
    """Take the note away: this desk ended cleanly. If that fails, the next opening checks more."""
    _ours.discard(opening_id)
    try:
        with database.writing() as db:
            db.execute(delete(OpeningTable).where(OpeningTable.id == opening_id))
    except UserFacingError:
        return


def _bring_up(database: Database, wait_s: float, migrations: Path) -> None:
    address = database.address
    script = ScriptDirectory(str(migrations))
    with database.engine.connect() as connection:
        revision = _revision(connection, address)
    known = {step.revision for step in script.walk_revisions()}
    if revision is not None and revision not in known:
        raise UserFacingError(
            f"The store {address.name} was made by a newer version of this program.",
            "Nothing was changed. Install the newer version to open it.",
        )
    if database.is_file:
        keep_private(address)
        _use_write_ahead_log(database)
        if revision is not None:
            _check_after_unclean_end(database)
    if revision != script.get_current_head():
        if revision is not None and address.path is not None:
            backup_to(address, address.path.with_name(f"{address.path.name}.before-{revision}"))
        _migrate(address, wait_s, migrations)


def _revision(connection: Connection, address: Address) -> str | None:
    """Find the store's schema revision; None for an empty database."""
    tables = inspect(connection).get_table_names()
    if tables and VERSION_TABLE not in tables:
        raise UserFacingError(
            f"{address.name} is a database of another program.",
            "Nothing was changed. Choose another file, or a new name for a new store.",
        )
    context = MigrationContext.configure(connection, opts={"version_table": VERSION_TABLE})
    return context.get_current_revision()


def _use_write_ahead_log(database: Database) -> None:
    """Switch to the write-ahead log, once for the file's life, outside a transaction."""
    raw = database.engine.raw_connection()
    try:
        cursor = raw.cursor()
        (mode,) = cursor.execute("PRAGMA journal_mode").fetchone()
        if mode != "wal":
            (mode,) = cursor.execute("PRAGMA journal_mode = WAL").fetchone()
    finally:
        raw.close()
    if mode != "wal":
        raise UserFacingError(
            f"The store {database.address.name} cannot be kept safely where it is.",
            "Choose a folder on a disk of this computer, not on the network.",
        )


def _check_after_unclean_end(database: Database) -> None:
    with database.reading() as db:
        left = [row for row in db.scalars(select(OpeningTable)) if not _is_alive(row)]
    if not left:
        return
    if problems(database):
        raise UserFacingError(
            f"The store {database.address.name} is damaged.",
            "Nothing was changed. Put the newest backup in its place.",
        )
    with database.writing() as db:
        db.execute(delete(OpeningTable).where(OpeningTable.id.in_([row.id for row in left])))


def _is_alive(opening: OpeningTable) -> bool:
    """Whether that desk surely still runs; where one cannot tell, it is taken to have ended."""
    if opening.id in _ours:
        return True
    if os.name != "posix" or opening.host != socket.gethostname():
        return False
    if opening.process == os.getpid():  # our number, not our opening: from before a restart
        return False
    try:
        os.kill(opening.process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def _migrate(address: Address, wait_s: float, migrations: Path) -> None:
    """Migrate in one transaction that is kept only if every reference still holds."""
    config = Config()
    config.set_main_option("script_location", str(migrations).replace("%", "%%"))
    engine = make_engine(address, wait_s, is_for_migration=True)
    try:
        with engine.begin() as connection:
            config.attributes["connection"] = connection
            command.upgrade(config, "head")
            broken = reference_problems(connection) if address.path is not None else ()
            if broken:
                raise UserFacingError(
                    f"The store {address.name} could not be brought up to date: {broken[0]}",
                    "Nothing was changed. Put the newest backup in its place.",
                )
    finally:
        engine.dispose()
