"""Vocabularies as they were, so that old reviews keep their words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from store.models import VocabularyTable


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
