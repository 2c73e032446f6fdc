"""The full-text index (FTS5) of what reviewers wrote, kept in the transaction of each edit."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import delete, insert, select, text
from sqlalchemy.orm import Session

from store.journal import RowChange
from store.rows import Image
from store.search_models import SearchRowTable

SEARCHED = ("tags", "comments", "marks")


def follow(db: Session, changes: Iterable[RowChange]) -> None:
    """Take what was changed into the index, in the transaction of the change."""
    if db.get_bind().dialect.name != "sqlite":
        return
    some = [change for change in changes if change.kind.name in SEARCHED]
    if not some:
        return
    row_ids = [change.row_id for change in some]
    old = select(SearchRowTable.id).where(SearchRowTable.row_id.in_(row_ids))
    for number in db.scalars(old).all():
        db.execute(text("DELETE FROM search_words WHERE rowid = :n"), {"n": number})
    db.execute(delete(SearchRowTable).where(SearchRowTable.row_id.in_(row_ids)))
    for change in some:
        words, code = written(change.kind.name, change.after)
        if change.after is None or not (words or code):
            continue
        made = db.execute(
            insert(SearchRowTable)
            .values(row_id=change.row_id, table_name=change.kind.name)
            .returning(SearchRowTable.id)
        )
        db.execute(
            text("INSERT INTO search_words (rowid, words, code) VALUES (:n, :words, :code)"),
            {"n": made.scalar_one(), "words": words, "code": code},
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
