"""The way to the database: its address, SQLite's switches, transactions."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, NullPool, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError
from sqlalchemy.orm import Session

from annotate.clock import shown
from annotate.errors import UserFacingError
from store.trouble import plain_sentences

WAIT_S = 5.0
"""How long a writer waits for another one before it says that the store is busy."""


@dataclass(frozen=True, slots=True)
class Address:
    """Where a store is: `path` for a SQLite file, None for a server; `name` for sentences."""

    url: URL
    path: Path | None
    name: str


def read_address(address: str | Path) -> Address:
    """Read a path or a SQLAlchemy URL.

    Raises
    ------
    UserFacingError
        If it is no address, or names a SQLite store without a file.
    """
    if isinstance(address, Path) or "://" not in address:
        path = Path(address)
        return Address(URL.create("sqlite", database=str(path)), path, path.name)
    try:
        url = make_url(address)
    except (ArgumentError, ValueError) as error:
        raise UserFacingError(
            f"'{shown(address.split('@')[-1])}' is not the address of a store.",
            "Give the path of a file, or a database address.",
        ) from error
    if url.get_backend_name() != "sqlite":
        return Address(url, None, shown(url.render_as_string(hide_password=True), 80))
    if not url.database or url.database == ":memory:":
        raise UserFacingError("A store needs a file.", "Give the path of a file.")
    path = Path(url.database)
    return Address(url, path, path.name)


class Database:
    """An open engine and its two kinds of transaction.

    Parameters
    ----------
    address : Address
    wait_s : float
        How long to wait for another writer, seconds.
    """

    def __init__(self, address: Address, wait_s: float = WAIT_S) -> None:
        self.address = address
        self.engine = make_engine(address, wait_s)
        self._writer = self.engine.execution_options(writes=True)

    @property
    def is_file(self) -> bool:
        """Whether the store is a SQLite file rather than a server."""
        return self.address.path is not None

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Open one transaction that only reads; on SQLite it sees one state throughout."""
        with (
            plain_sentences(self.address.name),
            Session(self.engine, expire_on_commit=False) as db,
            db.begin(),
        ):
            yield db

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """Open one transaction that writes: kept when the block ends, undone if it raises."""
        with (
            plain_sentences(self.address.name),
            Session(self._writer, expire_on_commit=False) as db,
            db.begin(),
        ):
            yield db

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()


def make_engine(
    address: Address,
    wait_s: float = WAIT_S,
    *,
    is_for_migration: bool = False,
) -> Engine:
    """Make an engine; one for migrations keeps no connection and has foreign keys off.

    A batch migration copies and drops tables, and SQLite would take the children along.

    Raises
    ------
    UserFacingError
        If the program that talks to that kind of database is not installed.
    """
    settings: dict[str, Any] = {"poolclass": NullPool} if is_for_migration else {}
    if address.path is not None:
        settings["connect_args"] = {"timeout": wait_s}
    try:
        engine = create_engine(address.url, **settings)
    except (NoSuchModuleError, ModuleNotFoundError) as error:
        raise UserFacingError(
            f"This program cannot talk to {address.name}.",
            "Install the driver for that database, or give the path of a file.",
        ) from error
    if address.path is not None:
        _prepare_sqlite(engine, has_foreign_keys=not is_for_migration)
    return engine


def _prepare_sqlite(engine: Engine, *, has_foreign_keys: bool) -> None:
    """Take transactions out of the driver's hands: it would leave out DDL and begin too late."""

    def set_switches(raw: Any, _record: object) -> None:
        raw.isolation_level = None
        raw.execute("PRAGMA synchronous = FULL")
        raw.execute(f"PRAGMA foreign_keys = {'ON' if has_foreign_keys else 'OFF'}")

    def begin(connection: Connection) -> None:
        # A deferred BEGIN that reads first fails at once if another desk commits before it writes.
        writes = connection.get_execution_options().get("writes", not has_foreign_keys)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    event.listen(engine, "connect", set_switches)
    event.listen(engine, "begin", begin)


def prepare_file(address: Address) -> None:
    """Make the store's folder and file, open to their owner alone; a file that is there is left.

    Raises
    ------
    UserFacingError
        If the place is a folder, or may not be written.
    """
    path = address.path
    if path is None:
        return
    try:
        if path.is_dir():
            raise UserFacingError(
                f"{address.name or 'The place given'} is a folder, not a store.",
                "Give the name of a file in it.",
            )
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
    except (OSError, ValueError) as error:  # a name may hold what no system allows
        raise UserFacingError(
            f"The store {shown(address.name)} cannot be made or written in its folder.",
            "Check that you may write there, or choose another place for the store.",
        ) from error


def keep_private(address: Address) -> None:
    """Close a store's files to everybody but their owner, once it is known to be a store."""
    if address.path is None or os.name != "posix":
        return
    for ending in ("", "-wal", "-shm"):
        file = address.path.with_name(address.path.name + ending)
        if file.exists() and file.stat().st_uid == os.geteuid():
            file.chmod(0o600)
