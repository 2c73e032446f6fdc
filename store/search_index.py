"""The full-text index (FTS5) of what reviewers wrote, kept in the transaction of each edit."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import delete, insert, select, text
from sqlalchemy.orm import Session

from store.journal import RowChange
from store.rows import Image
from store.search_models import SearchRowTable

SEARCHED = ("tags", "comments", "marks")
_MOST_AT_ONCE = 500
"""Rows to one statement; SQLite bounds the values in it."""


def follow(db: Session, changes: Iterable[RowChange]) -> None:
    """Take what was changed into the index, in the transaction of the change.

    A row that only moved keeps its words, and its place in the index: the index knows no times.
    """
    if db.get_bind().dialect.name != "sqlite":
        return
    some = [change for change in changes if change.kind.name in SEARCHED and _says_other(change)]
    for start in range(0, len(some), _MOST_AT_ONCE):
        _take(db, some[start : start + _MOST_AT_ONCE])


def _says_other(change: RowChange) -> bool:
    if change.before is None or change.after is None:
        return True
    name = change.kind.name
    return written(name, change.before) != written(name, change.after)


def _take(db: Session, some: list[RowChange]) -> None:
    """Take a bounded number of changes in, with as many statements as for one."""
    here = SearchRowTable.row_id.in_([change.row_id for change in some])
    numbers = [{"n": n} for n in db.scalars(select(SearchRowTable.id).where(here)).all()]
    if numbers:
        db.execute(text("DELETE FROM search_words WHERE rowid = :n"), numbers)
        db.execute(delete(SearchRowTable).where(here))
    said = {change.row_id: written(change.kind.name, change.after) for change in some}
    rows = [
        {"row_id": change.row_id, "table_name": change.kind.name}
        for change in some
        if change.after is not None and any(said[change.row_id])
    ]
    if not rows:
        return
    made = db.execute(
        insert(SearchRowTable).returning(SearchRowTable.id, SearchRowTable.row_id), rows
    )
    words = [
        {"n": number, "words": said[row_id][0], "code": said[row_id][1]}
        for number, row_id in made.all()
    ]
    db.execute(
        text("INSERT INTO search_words (rowid, words, code) VALUES (:n, :words, :code)"), words
    )


def written(table: str, image: Image | None) -> tuple[str, str]:
    """Text and code of a row."""
    if image is None:
        return "", ""
    if table == "tags":
        return str(image["comment"]), str(image["code"])
    if table == "comments":
        return str(image["text"]), str(image["phase"])
    return str(image["text"]), ""
