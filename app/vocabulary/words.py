"""The words that a review is read with: today's, and those that it was made with."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache

from annotate.case import Case, ReviewSession, SessionStatus
from annotate.errors import UserFacingError
from annotate.markup import Markup
from annotate.old_words import codes_in, with_old_words
from annotate.vocabulary import Vocabulary
from annotate.vocabulary_file import (
    content_hash,
    read_vocabulary,
    shipped_names,
    shipped_vocabulary,
)
from annotate.vocabulary_text import vocabulary_text
from app.vocabulary.own import vocabulary_today
from store import Store


def keep_words(store: Store, vocabulary: Vocabulary) -> str:
    """Keep a vocabulary as it now is; its hash."""
    text = vocabulary_text(vocabulary)
    made = content_hash(text)
    store.keep_vocabulary(vocabulary.name, vocabulary.version, text, made)
    return made


def words_of(
    store: Store, case: Case, session: ReviewSession | None, markup: Markup | None = None
) -> Vocabulary:
    """Words to read a review with.

    A signed review has those that it was signed with. A draft has those of today, and beside
    them, as retired, what it was tagged with and the list has no more.

    Parameters
    ----------
    markup : Markup or None
        What the session says, where it is at hand.

    Raises
    ------
    UserFacingError
        If the case's vocabulary cannot be read.
    """
    if session is None:
        return vocabulary_today(case.vocabulary)
    signed = _as_signed(store, session)
    today = signed or vocabulary_today(case.vocabulary)
    markup = store.markup(session.id) if markup is None else markup
    used = codes_in(markup)
    if used <= {term.code for term in today.terms} and signed is not None:
        return today
    return with_old_words(today, _editions(store, today.name, session.vocabulary_hash), used)


def all_editions(store: Store) -> dict[str, Vocabulary]:
    """Every kept edition of every vocabulary by its hash, the newest first."""
    read = {kept.content_hash: _read(kept.text) for kept in store.kept_vocabularies()}
    return {made: edition for made, edition in read.items() if edition is not None}


def asked_for_labels(
    today: Vocabulary | None,
    name: str,
    editions: Mapping[str, Vocabulary],
    first_hash: str,
    *,
    is_signed: bool,
) -> Iterator[Vocabulary]:
    """Vocabularies in the order in which `words_of` asks them what a code is called.

    Parameters
    ----------
    today : Vocabulary or None
        As it is now; None where it cannot be read.
    name : str
        Of the case's vocabulary.
    editions : mapping of str to Vocabulary
        See `all_editions`.
    first_hash : str
        The review's own edition.
    """
    own = editions.get(first_hash)
    if own is not None and is_signed:
        yield own
    elif today is not None:
        yield today
    name = today.name if today is not None else name
    if own is not None and own.name == name:
        yield own
    yield from (edition for edition in editions.values() if edition.name == name)
    if name in shipped_names():
        yield shipped_vocabulary(name)


def _as_signed(store: Store, session: ReviewSession) -> Vocabulary | None:
    if session.status is not SessionStatus.SIGNED or not session.vocabulary_hash:
        return None
    texts = {kept.content_hash: kept.text for kept in store.kept_vocabularies()}
    return _read(texts.get(session.vocabulary_hash, ""))


def _editions(store: Store, name: str, first_hash: str) -> Iterator[Vocabulary]:
    """Kept editions, the session's own first, then the newest; at last what is shipped."""
    kept = store.kept_vocabularies(name)
    for edition in sorted(kept, key=lambda found: found.content_hash != first_hash):
        read = _read(edition.text)
        if read is not None:
            yield read
    if name in shipped_names():
        yield shipped_vocabulary(name)


@lru_cache(maxsize=256)
def _read(text: str) -> Vocabulary | None:
    """A kept edition; None where today's rules no longer take it."""
    try:
        return read_vocabulary(text, "edition.toml")
    except UserFacingError:
        return None
