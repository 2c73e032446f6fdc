from __future__ import annotations

import pytest
from store_scenes import BY, case, tag, with_session

from annotate.errors import UserFacingError
from annotate.people import Reviewer, ReviewerKind
from store import Put, Store


def test_starting_twice_finds_the_same_session(store: Store) -> None:
    taken, session = with_session(store)
    assert store.start_session(taken.id, Reviewer(BY, ReviewerKind.PEER)) == session
    assert store.sessions(taken.id) == (session,)
    assert store.session(session.id) == session


def test_two_reviewers_have_sessions_of_their_own(store: Store) -> None:
    taken, one = with_session(store)
    two = store.start_session(taken.id, Reviewer("R-07", ReviewerKind.SELF))
    assert two.reviewer.kind is ReviewerKind.SELF
    store.edit(one.id, "add", BY, Put(tag(one.id)))
    assert store.markup(two.id).tags == ()
    assert store.undo(two.id, "R-07") is None


def test_a_reviewer_may_be_self_on_one_case_and_peer_on_another(store: Store) -> None:
    own, other = store.take_in(case("C-1"), BY), store.take_in(case("C-2"), BY)
    mine = store.start_session(own.id, Reviewer("R-07", ReviewerKind.SELF))
    theirs = store.start_session(other.id, Reviewer("R-07", ReviewerKind.PEER))
    assert store.session(mine.id).reviewer.kind is ReviewerKind.SELF
    assert store.session(theirs.id).reviewer.kind is ReviewerKind.PEER


def test_without_a_code_the_most_recently_edited_session_is_found(store: Store) -> None:
    taken, one = with_session(store)
    two = store.start_session(taken.id, Reviewer("R-07", ReviewerKind.SELF))
    store.edit(two.id, "add", "R-07", Put(tag(two.id)))
    assert store.find_session(taken.id).id == two.id
    store.edit(one.id, "add", BY, Put(tag(one.id)))
    assert store.find_session(taken.id, None).id == one.id
    assert [s.id for s in store.sessions(taken.id)] == [one.id, two.id]
    assert store.find_session(taken.id, "R-07").id == two.id


def test_a_missing_review_is_told_who_reviewed(store: Store) -> None:
    taken, _ = with_session(store)
    with pytest.raises(UserFacingError) as told:
        store.find_session(taken.id, "R-99")
    assert str(told.value) == "'R-99' has not reviewed case C-1. It was reviewed by A-01."
    bare = store.take_in(case("C-2"), BY)
    with pytest.raises(UserFacingError, match="Nobody has reviewed case C-2 yet"):
        store.find_session(bare.id)
