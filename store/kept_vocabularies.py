"""Vocabularies as they were, so that old reviews keep their words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from annotate.case import SessionStatus
from annotate.ids import SessionId
from annotate.tags import TagKind
from store.models import CaseTable, SessionTable, VocabularyTable
from store.row_models import TagTable


@dataclass(frozen=True, slots=True)
class KeptVocabulary:
    """One edition of a vocabulary: its file's text, and the hash that reviews name it by."""

    content_hash: str
    name: str
    edition: str
    text: str
    kept_at: datetime


def keep(db: Session, name: str, edition: str, text: str, content_hash: str) -> None:
    """Keep an edition; one that is kept already stays as it is."""
    if db.get(VocabularyTable, content_hash) is None:
        db.add(
            VocabularyTable(
                content_hash=content_hash,
                name=name,
                edition=edition,
                text=text,
                kept_at=datetime.now(UTC),
            )
        )


def kept(db: Session, name: str | None) -> tuple[KeptVocabulary, ...]:
    """Editions of one vocabulary, or of all, the newest first."""
    asked = select(VocabularyTable).order_by(
        VocabularyTable.kept_at.desc(), VocabularyTable.content_hash
    )
    if name is not None:
        asked = asked.where(VocabularyTable.name == name)
    return tuple(
        KeptVocabulary(row.content_hash, row.name, row.edition, row.text, row.kept_at)
        for row in db.scalars(asked)
    )


def note(db: Session, session_id: SessionId, content_hash: str) -> None:
    """Note with which edition a draft goes on; a signed review keeps its own."""
    stored = db.get(SessionTable, session_id)
    if stored is not None and stored.status == SessionStatus.DRAFT.value:
        stored.vocabulary_hash = content_hash


def code_uses(db: Session, vocabulary: str) -> dict[str, int]:
    """In how many reviews of a vocabulary's cases each of its codes stands."""
    n_reviews = func.count(TagTable.session_id.distinct())
    asked = (
        select(TagTable.code, n_reviews)
        .join(SessionTable, SessionTable.id == TagTable.session_id)
        .join(CaseTable, CaseTable.id == SessionTable.case_id)
        .where(CaseTable.vocabulary == vocabulary, TagTable.kind != TagKind.HAND_OVER.value)
        .group_by(TagTable.code)
    )
    return {row.code: row[1] for row in db.execute(asked)}
