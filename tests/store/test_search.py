"""What is written is found, at once, by its beginnings and by codes; what is gone is not."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from store_scenes import BY, case, clip, tag, with_session

from annotate.ids import RowId, new_id
from annotate.marks import Mark, MarkKind
from annotate.people import Reviewer, ReviewerKind
from annotate.tags import Comment
from store import Drop, Put, Store

WORDS = ("needle", "nadel", "Kapsel", "rim", "pull", "näher", "the", "eye")


def comment(session_id: str, text: str, start_us: int = 7) -> Comment:
    return Comment(RowId(new_id()), session_id, text, start_us)  # type: ignore[arg-type]


def test_a_comment_is_found_by_beginnings_of_its_words(store: Store) -> None:
    taken, session = with_session(store)
    row = comment(session.id, "Käthe's needle lies on the wound", 12_000_000)
    store.edit(session.id, "write", BY, Put(row))
    (found,) = store.search("need wou")
    assert (found.case_code, found.row_id, found.start_us) == (taken.code, row.id, 12_000_000)
    assert (found.reviewer, found.table, found.text) == (BY, "comments", row.text)
    assert store.search("KATHE")[0].row_id == row.id
    assert store.search("needle chopper") == ()
    assert store.search('"; DROP (*') == ()
    assert store.search("") == ()


def test_a_place_says_with_which_words_its_review_is_read(store: Store) -> None:
    taken = store.take_in(replace(case("C-1", clip("one")), vocabulary="sics"), BY)
    session = store.start_session(taken.id, Reviewer(BY), "hash-of-edition")
    store.edit(session.id, "tag", BY, Put(tag(session.id, code="wound")))
    (found,) = store.search("wound")
    assert (found.vocabulary, found.vocabulary_hash) == ("sics", "hash-of-edition")
    assert not found.is_signed
    store.sign(session.id, BY)
    (found,) = store.search("wound")
    assert found.is_signed


def test_tags_are_found_by_code_and_marks_by_their_words(store: Store) -> None:
    _, session = with_session(store)
    sculpt = tag(session.id, code="needle-on-wound")
    other = tag(session.id, start_us=9_000_000, code="wound-leak")
    mark = Mark(RowId(new_id()), session.id, MarkKind.TEXT, 0, 9, ((0.5, 0.5),), "here is the rim")
    store.edit(session.id, "put", BY, Put(sculpt), Put(other), Put(mark))
    assert {f.row_id for f in store.search("", codes=["needle-on-wound"])} == {sculpt.id}
    assert {f.row_id for f in store.search("wound")} == {sculpt.id, other.id}
    assert [f.row_id for f in store.search("rim")] == [mark.id]


def test_what_is_undone_reworded_or_moved_is_found_as_it_is_now(store: Store) -> None:
    _, session = with_session(store)
    row = comment(session.id, "hold the handle still")
    store.edit(session.id, "write", BY, Put(row))
    store.edit(session.id, "reword", BY, Put(replace(row, text="rest the hand")))
    assert store.search("handle") == ()
    assert len(store.search("rest")) == 1
    store.undo(session.id, BY)
    assert store.search("rest") == ()
    assert len(store.search("handle")) == 1
    store.undo(session.id, BY)
    assert store.search("handle") == ()


def test_a_review_that_is_kept_from_the_viewer_is_not_searched(store: Store) -> None:
    taken, session = with_session(store)
    store.edit(session.id, "write", BY, Put(comment(session.id, "candid")))
    store.veil(session.id, True, BY)
    assert store.search("candid", viewer="R-07") == ()
    assert len(store.search("candid", viewer=BY)) == 1
    mine = store.start_session(taken.id, Reviewer("R-07", ReviewerKind.SELF))
    store.sign(session.id, BY)
    assert store.search("candid", viewer="R-07") == ()
    store.sign(mine.id, "R-07")
    assert len(store.search("candid", viewer="R-07")) == 1


@settings(
    max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    texts=st.lists(st.lists(st.sampled_from(WORDS), min_size=1, max_size=4), max_size=8),
    gone=st.sets(st.integers(0, 7)),
    asked=st.lists(st.sampled_from(WORDS), min_size=1, max_size=2),
)
def test_the_index_finds_what_reading_through_finds(
    store: Store, texts: list[list[str]], gone: set[int], asked: list[str]
) -> None:
    code = f"C-{new_id()[-12:]}"
    taken = store.take_in(case(code, clip(code)), BY)
    session = store.start_session(taken.id, Reviewer(BY, ReviewerKind.ATTENDING))
    rows = [comment(session.id, " ".join(words), n) for n, words in enumerate(texts)]
    for row in rows:
        store.edit(session.id, "write", BY, Put(row))
    for place in gone & set(range(len(rows))):
        store.edit(session.id, "remove", BY, Drop(Comment, rows[place].id))
    kept = [row for n, row in enumerate(rows) if n not in gone]
    expected = {
        row.id
        for row in kept
        if all(any(_plain(w).startswith(_plain(a)) for w in row.text.split()) for a in asked)
    }
    found = store.search(" ".join(asked), limit=10_000)
    assert {f.row_id for f in found if f.case_code == code} == expected


def _plain(word: str) -> str:
    return word.lower().replace("ä", "a")


@pytest.mark.parametrize("limit", [1, 3])
def test_no_more_than_asked_for_the_newest_first(store: Store, limit: int) -> None:
    _, session = with_session(store)
    rows = [comment(session.id, f"word {n}", n) for n in range(5)]
    for row in rows:
        store.edit(session.id, "write", BY, Put(row))
    found = store.search("word", limit=limit)
    assert [f.row_id for f in found] == [row.id for row in reversed(rows)][:limit]
