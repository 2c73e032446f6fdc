"""Database errors that a user can mend, as sentences. Anything else is a bug and passes through."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, IntegrityError, OperationalError
from sqlalchemy.orm.exc import StaleDataError

from annotate.errors import UserFacingError

_SENTENCES = {
    "SQLITE_BUSY": (
        "The store {name} is busy: another program is writing to it.",
        "Nothing was changed. Try again in a moment, or close the other program.",
    ),
    "SQLITE_LOCKED": (
        "The store {name} is busy: another program is writing to it.",
        "Nothing was changed. Try again in a moment, or close the other program.",
    ),
    "SQLITE_FULL": (
        "The disk that holds the store {name} is full.",
        "The last change was not kept; everything before it is. Free some space and try again.",
    ),
    "SQLITE_READONLY": (
        "The store {name} may not be written.",
        "Allow writing to the file and its folder, or choose another place for the store.",
    ),
    "SQLITE_CANTOPEN": (
        "The store {name} cannot be opened.",
        "Check that its folder exists and that you may read and write there.",
    ),
    "SQLITE_PERM": (
        "The store {name} may not be opened.",
        "Allow reading and writing of the file and its folder.",
    ),
    "SQLITE_NOTADB": (
        "{name} is not a store: it holds something else.",
        "Nothing was changed. Choose another file, or a new name for a new store.",
    ),
    "SQLITE_CORRUPT": (
        "The store {name} is damaged.",
        "Nothing more was written. Put the newest backup in its place.",
    ),
    "SQLITE_IOERR": (
        "The disk failed while the store {name} was read or written.",
        "The last change may not be kept; everything before it is. Check the disk, then open it.",
    ),
}


@contextmanager
def plain_sentences(name: str) -> Iterator[None]:
    """Turn what the database says about its surroundings into sentences about the store `name`.

    Raises
    ------
    UserFacingError
        For a busy, full, read-only, missing, foreign or damaged store, an unreachable server,
        a row that somebody else changed in between, or one that others still refer to.
    """
    try:
        yield
    except StaleDataError as error:
        raise UserFacingError(
            "Somebody else changed the same thing at this moment.",
            "Your change was not kept. Look at theirs and try again.",
        ) from error
    except DBAPIError as error:
        known = _known(error, name)
        if known is None:
            raise
        raise known from error
    except sqlite3.Error as error:
        sentence = _SENTENCES.get(_main_code(error))
        if sentence is None:
            raise
        raise _worded(sentence, name) from error


def _known(error: DBAPIError, name: str) -> UserFacingError | None:
    if isinstance(error, IntegrityError) and _is_reference(error.orig):
        return UserFacingError(
            "Something else belongs to this: a comment to its mark, a length to its calibration.",
            "Nothing was changed. Change or delete what belongs to it first.",
        )
    if isinstance(error.orig, sqlite3.Error):
        sentence = _SENTENCES.get(_main_code(error.orig))
        return _worded(sentence, name) if sentence else None
    if isinstance(error, OperationalError):  # a server that is away, refuses or hangs up
        return UserFacingError(
            f"The store {name} does not answer.",
            "Check the network and that its server runs, then try again.",
        )
    return None


def _is_reference(error: BaseException | None) -> bool:
    """Whether a foreign key was broken, in SQLite's words or in the standard's."""
    code = getattr(error, "sqlite_errorname", None) or getattr(error, "sqlstate", None)
    return code in ("SQLITE_CONSTRAINT_FOREIGNKEY", "23503")


def _main_code(error: BaseException) -> str:
    """SQLite's name of the error without its finer part: SQLITE_IOERR_WRITE is SQLITE_IOERR."""
    full = str(getattr(error, "sqlite_errorname", ""))
    return "_".join(full.split("_")[:2])


def _worded(sentence: tuple[str, str], name: str) -> UserFacingError:
    what, do = sentence
    return UserFacingError(what.format(name=name), do)
