"""What a session holds, read and written many rows at a time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import bindparam, delete, insert, update
from sqlalchemy.orm import Session

from annotate.ids import SessionId
from annotate.markup import Markup, Row, place_of
from store.journal import RowChange
from store.rows import KINDS, Image, RowKind, value_of
from store.search_index import follow

_MOST_AT_ONCE = 500
"""Ids in one statement; every database takes that many."""


def markup(db: Session, session_id: SessionId) -> Markup:
    """Read all that a session says."""
    content: dict[str, Any] = {kind.name: _rows(db, kind, session_id) for kind in KINDS}
    return Markup(**content)


def images_now(db: Session, kind: RowKind, ids: Sequence[str]) -> dict[str, Image]:
    """Images by id of those rows that are there."""
    found: dict[str, Image] = {}
    for start in range(0, len(ids), _MOST_AT_ONCE):
        some = kind.table.c.id.in_(ids[start : start + _MOST_AT_ONCE])
        found |= {row["id"]: dict(row) for row in db.execute(kind.select().where(some)).mappings()}
    return found


def write(db: Session, changes: Iterable[RowChange]) -> None:
    """Make each row as its change says; a row is named once at most."""
    made = list(changes)
    by_kind: dict[RowKind, list[RowChange]] = {}
    for change in made:
        by_kind.setdefault(change.kind, []).append(change)
    for kind, some in by_kind.items():
        _drop(db, kind, [c.row_id for c in some if c.after is None])
        _change(db, kind, [c.after for c in some if c.before and c.after])
        _add(db, kind, [c.after for c in some if c.after and not c.before])
    follow(db, made)


def _drop(db: Session, kind: RowKind, ids: Sequence[str]) -> None:
    if ids:
        here = kind.table.c.id == bindparam("this_id")
        db.execute(delete(kind.table).where(here), [{"this_id": row_id} for row_id in ids])


def _change(db: Session, kind: RowKind, images: Sequence[Image]) -> None:
    if images:
        here = kind.table.c.id == bindparam("this_id")
        statement = update(kind.table).where(here).values(version=kind.table.c.version + 1)
        db.execute(statement, [_with_its_id_apart(image) for image in images])


def _add(db: Session, kind: RowKind, images: Sequence[Image]) -> None:
    if images:
        db.execute(insert(kind.table), [{**image, "version": 1} for image in images])


def _with_its_id_apart(image: Mapping[str, Any]) -> dict[str, Any]:
    return {"this_id" if column == "id" else column: value for column, value in image.items()}


def _rows(db: Session, kind: RowKind, session_id: SessionId) -> tuple[Row, ...]:
    found = db.execute(kind.select().where(kind.table.c.session_id == session_id)).mappings()
    return tuple(sorted((value_of(kind, dict(row)) for row in found), key=place_of))
