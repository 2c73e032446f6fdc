"""Search over all comments, tags and marks of the caseload, by word beginnings and by codes.

SQLite has a full-text index for it (`store.search_index`); on a server texts are read through.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, and_, or_, select, text
from sqlalchemy.orm import Session

from annotate.case import SessionStatus
from annotate.ids import CaseId, RowId, SessionId
from store.entries import images_now
from store.models import CaseTable, ReviewerTable, SessionTable
from store.row_models import CommentTable, MarkTable, TagTable
from store.rows import Image, kind_of_table
from store.search_index import SEARCHED, written
from store.veils import is_withheld

_MOST_WORDS = 16
_AT_A_TIME = 250
_NEWEST = 2**63 - 1
_MOST_LOOKED_AT = 5_000
"""Candidates looked at for one answer: those of reviews that are withheld fall out of them."""


@dataclass(frozen=True, slots=True)
class Found:
    """One place that a search found.

    Attributes
    ----------
    table : str
        ``tags``, ``comments`` or ``marks``.
    text : str
        What was written there; may be empty for a tag.
    code : str
        Of a tag; of the phase that a comment is about.
    vocabulary : str
        Of the case.
    vocabulary_hash, is_signed : str, bool
        With which edition the review was begun or signed, and whether it is signed.
    """

    case_id: CaseId
    case_code: str
    session_id: SessionId
    reviewer: str
    row_id: RowId
    table: str
    start_us: int
    text: str
    code: str
    vocabulary: str
    vocabulary_hash: str
    is_signed: bool


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a session belongs, and what it is read with."""

    case_id: str
    case_code: str
    reviewer: str
    vocabulary: str
    vocabulary_hash: str
    is_signed: bool


def search(
    db: Session, query: str, codes: Sequence[str], viewer: str, limit: int
) -> tuple[Found, ...]:
    """Find places, the newest first; see `store.review_store.ReviewStore.search`."""
    words = re.findall(r"\w+", query)[:_MOST_WORDS]
    if not words and not codes:
        return ()
    is_sqlite = db.get_bind().dialect.name == "sqlite"
    several = _indexed(db, words, codes) if is_sqlite else iter([_read_through(db, words, codes)])
    seen, found = _Seen(db, viewer), list[Found]()
    for hits in several:
        images = _images(db, hits)
        seen.look_up(str(image["session_id"]) for image in images.values())
        for row_id, table in hits:
            image = images.get(row_id)
            place = seen.place(image["session_id"]) if image is not None else None
            if image is not None and place is not None:
                found.append(_found(row_id, table, image, place))
            if len(found) == limit:
                return tuple(found)
    return tuple(found)


def _indexed(
    db: Session, words: Sequence[str], codes: Sequence[str]
) -> Iterator[list[tuple[str, str]]]:
    """Ids and tables that the index has for the words, or for one of the codes, some at a time.

    Most answers are full after the first few; reading all of them would take ten times as long.
    """
    asked = []
    if words:
        asked.append("(" + " AND ".join(f'"{word}" *' for word in words) + ")")
    asked += [f'(code : "{_quoted(code)}")' for code in codes if re.search(r"\w", code)]
    if not asked:
        return
    below, n_left = _NEWEST, _MOST_LOOKED_AT
    while n_left > 0:
        rows = db.execute(
            text(
                "SELECT r.id, r.row_id, r.table_name FROM search_words"
                " JOIN search_rows AS r ON r.id = search_words.rowid"
                " WHERE search_words MATCH :asked AND search_words.rowid < :below"
                " ORDER BY search_words.rowid DESC LIMIT :some"
            ),
            {"asked": " OR ".join(asked), "below": below, "some": _AT_A_TIME},
        ).all()
        yield [(row.row_id, row.table_name) for row in rows]
        if len(rows) < _AT_A_TIME:
            return
        below, n_left = rows[-1].id, n_left - _AT_A_TIME


def _quoted(code: str) -> str:
    return code.replace('"', '""')


def _read_through(db: Session, words: Sequence[str], codes: Sequence[str]) -> list[tuple[str, str]]:
    """The same without an index: every text is looked at."""
    hits: list[tuple[str, str]] = []
    for table, model, said, coded in (
        ("comments", CommentTable, CommentTable.text, CommentTable.phase),
        ("tags", TagTable, TagTable.comment, TagTable.code),
        ("marks", MarkTable, MarkTable.text, None),
    ):
        wanted: list[ColumnElement[bool]] = []
        if words:
            in_text = and_(*(said.ilike(f"%{word}%") for word in words))
            wanted.append(in_text)
            if coded is not None:
                wanted.append(and_(*(coded.ilike(f"%{word}%") for word in words)))
        if codes and coded is not None:
            wanted.append(coded.in_(list(codes)))
        if wanted:
            some = select(model.id).where(or_(*wanted)).limit(_MOST_LOOKED_AT)
            hits += [(row_id, table) for row_id in db.scalars(some)]
    return sorted(hits, reverse=True)


def _images(db: Session, hits: Sequence[tuple[str, str]]) -> dict[str, Image]:
    found: dict[str, Image] = {}
    for table in SEARCHED:
        ids = [row_id for row_id, of in hits if of == table]
        if ids:
            found |= images_now(db, kind_of_table(table), ids)
    return found


class _Seen:
    """Where sessions belong; None for one that is kept from the viewer."""

    def __init__(self, db: Session, viewer: str) -> None:
        self._db, self._viewer = db, viewer
        self._known: dict[str, _Place | None] = {}

    def look_up(self, session_ids: Iterable[str]) -> None:
        """Read where sessions belong, in one go for those not known yet."""
        fresh = {session_id for session_id in session_ids if session_id not in self._known}
        if not fresh:
            return
        rows = self._db.execute(
            select(
                SessionTable.id,
                SessionTable.is_veiled,
                SessionTable.status,
                SessionTable.vocabulary_hash,
                CaseTable.vocabulary,
                CaseTable.id.label("case_id"),
                CaseTable.code.label("case_code"),
                ReviewerTable.code.label("reviewer"),
            )
            .join(CaseTable, SessionTable.case_id == CaseTable.id)
            .join(ReviewerTable, ReviewerTable.id == SessionTable.reviewer_id)
            .where(SessionTable.id.in_(fresh))
        )
        for row in rows:
            is_kept_back = row.is_veiled and self._is_withheld(row.id)
            place = _Place(
                row.case_id, row.case_code, row.reviewer, row.vocabulary, row.vocabulary_hash,
                row.status == SessionStatus.SIGNED.value,
            )  # fmt: skip
            self._known[row.id] = None if is_kept_back else place

    def place(self, session_id: str) -> _Place | None:
        """Where a session that was looked up belongs."""
        return self._known.get(session_id)

    def _is_withheld(self, session_id: str) -> bool:
        return bool(self._viewer) and is_withheld(self._db, SessionId(session_id), self._viewer)


def _found(row_id: str, table: str, image: Image, place: _Place) -> Found:
    words, code = written(table, image)
    return Found(
        case_id=CaseId(place.case_id),
        case_code=place.case_code,
        session_id=SessionId(image["session_id"]),
        reviewer=place.reviewer,
        row_id=RowId(row_id),
        table=table,
        start_us=int(image["start_us"]),
        text=words,
        code=code,
        vocabulary=place.vocabulary,
        vocabulary_hash=place.vocabulary_hash,
        is_signed=place.is_signed,
    )
