"""Signing freezes by hash; going on keeps both; what was watched and old words are kept."""

from __future__ import annotations

import pytest
from sqlalchemy import text
from store_scenes import BY, all_rows, one_of_each, tag, with_session

from annotate.case import SessionStatus
from annotate.errors import UserFacingError
from annotate.marks import Mark
from annotate.tags import Comment
from annotate.watching import Watched
from store import Put, Store


def test_a_signed_review_has_the_hash_of_all_that_it_says(store: Store) -> None:
    case, session = with_session(store)
    rows = one_of_each(session.id, case.clips[0].id)
    store.edit(session.id, "fill", BY, *map(Put, rows))
    assert session.content_hash == ""
    assert store.is_as_signed(session.id) is None
    signed = store.sign(session.id, BY)
    assert len(signed.content_hash) == 64
    assert store.is_as_signed(session.id) is True
    with store._database.writing() as db:
        db.execute(text("UPDATE comments SET text = 'softened'"))
    assert store.is_as_signed(session.id) is False


def test_equal_content_has_an_equal_hash_whatever_was_done_on_the_way(store: Store) -> None:
    _, session = with_session(store)
    row = tag(session.id)
    store.edit(session.id, "put", BY, Put(row))
    store.edit(session.id, "again", BY, Put(tag(session.id, start_us=9_000_000)))
    store.undo(session.id, BY)
    first = store.sign(session.id, BY).content_hash
    with store._database.reading() as db:
        from store.editions import content_hash

        assert content_hash(db, session.id) == first


def test_going_on_keeps_both_and_says_the_same(store: Store) -> None:
    case, session = with_session(store)
    store.edit(session.id, "fill", BY, *map(Put, one_of_each(session.id, case.clips[0].id)))
    with pytest.raises(UserFacingError, match="not signed yet"):
        store.next_edition(session.id, BY)
    store.sign(session.id, BY)
    fresh = store.next_edition(session.id, BY)
    assert (fresh.edition, fresh.follows_id, fresh.status) == (2, session.id, SessionStatus.DRAFT)
    assert store.next_edition(session.id, BY).id == fresh.id
    before, after = all_rows(store, session.id), all_rows(store, fresh.id)
    assert len(before) == len(after) == 7
    assert not before.keys() & after.keys()
    (comment,) = [row for row in after.values() if isinstance(row, Comment)]
    (mark,) = [row for row in after.values() if isinstance(row, Mark)]
    assert comment.mark_id == mark.id
    assert store.undo(fresh.id, BY) is None
    store.edit(fresh.id, "add", BY, Put(tag(fresh.id)))
    assert len(all_rows(store, session.id)) == 7
    assert store.is_as_signed(session.id) is True
    assert store.start_session(case.id, fresh.reviewer).id == fresh.id
    assert len(store.search("slow")) == 2
    assert store.check() == ()


def test_what_was_watched_is_kept_until_signing(store: Store) -> None:
    _, session = with_session(store)
    spans = (Watched(0, 10, 1.0), Watched(5, 90, 4.0))
    store.keep_watched(session.id, spans)
    store.keep_watched(session.id, ())
    store.keep_watched(session.id, (Watched(0, 3, 0.5),))
    assert store.watched(session.id) == (*spans, Watched(0, 3, 0.5))
    store.keep_watched(session.id, (Watched(3, 7, 0.5), Watched(7, 9, 1.0)))
    store.keep_watched(session.id, (Watched(9, 11, 0.5),))
    went_on = (Watched(0, 7, 0.5), Watched(7, 9, 1.0), Watched(9, 11, 0.5))
    assert store.watched(session.id) == (*spans, *went_on)
    assert store.undo(session.id, BY) is None
    store.sign(session.id, BY)
    with pytest.raises(UserFacingError, match="signed"):
        store.keep_watched(session.id, spans)


def test_vocabularies_are_kept_once_each_the_newest_first(store: Store) -> None:
    store.keep_vocabulary("chop", "1", "name = 1", "a" * 64)
    store.keep_vocabulary("chop", "2", "name = 2", "b" * 64)
    store.keep_vocabulary("chop", "1", "changed", "a" * 64)
    store.keep_vocabulary("other", "1", "name = 3", "c" * 64)
    assert [(k.edition, k.text) for k in store.kept_vocabularies("chop")] == [
        ("2", "name = 2"),
        ("1", "name = 1"),
    ]
    assert len(store.kept_vocabularies()) == 3
