"""Two reviews kept from one another: neither reviewer sees anything until both are signed."""

from __future__ import annotations

import pytest
from store_scenes import case, clip, tag

from annotate.case import Case, ReviewSession
from annotate.errors import UserFacingError
from annotate.ids import RowId, new_id
from annotate.people import Reviewer, ReviewerKind
from annotate.tags import Comment
from store import Put, Store

ATTENDING, OPERATOR, THIRD = "A-01", "R-07", "A-02"


@pytest.fixture
def both(store: Store) -> tuple[Case, ReviewSession, ReviewSession]:
    """A case with an attending's and the operator's own review, each kept from the other."""
    taken = store.take_in(case("C-1", clip("one")), ATTENDING)
    made = []
    for code, kind, n in (
        (ATTENDING, ReviewerKind.ATTENDING, 1),
        (OPERATOR, ReviewerKind.SELF, 2),
    ):
        session = store.start_session(taken.id, Reviewer(code, kind))
        rows = [Put(tag(session.id, start_us=3_000_000 * i)) for i in range(n)]
        said = Comment(RowId(new_id()), session.id, f"said by {code}", 5)
        store.edit(session.id, "fill", code, *rows, Put(said))
        store.veil(session.id, True, code)
        made.append(session)
    return taken, made[0], made[1]


def seen(store: Store, viewer: str) -> set[str]:
    """Whose review shows in any way to `viewer`; every way must agree."""
    (row,) = store.cases(viewer)
    listed = {line.reviewer for line in row.sessions}
    assert row.n_sessions == len(row.sessions)
    assert row.n_tags == sum(line.n_tags for line in row.sessions)
    assert row.n_comments == len(row.sessions)
    assert {s.reviewer.code for s in store.sessions_seen_by(row.case.id, viewer)} == listed
    assert {found.reviewer for found in store.search("said", viewer=viewer)} == listed
    for code in (ATTENDING, OPERATOR):
        if code in listed:
            assert store.find_session(row.case.id, code, viewer=viewer).reviewer.code == code
        else:
            with pytest.raises(UserFacingError, match=f"{code}'s review is kept until both are"):
                store.find_session(row.case.id, code, viewer=viewer)
    return listed


@pytest.mark.parametrize("first", [ATTENDING, OPERATOR])
def test_neither_sees_the_other_until_both_are_signed(
    store: Store, both: tuple[Case, ReviewSession, ReviewSession], first: str
) -> None:
    _, attending, operator = both
    of = {ATTENDING: attending, OPERATOR: operator}
    second = OPERATOR if first == ATTENDING else ATTENDING
    for viewer in of:
        assert seen(store, viewer) == {viewer}
    store.sign(of[first].id, first)
    for viewer in of:
        assert seen(store, viewer) == {viewer}
    store.sign(of[second].id, second)
    for viewer in of:
        assert seen(store, viewer) == {ATTENDING, OPERATOR}


def test_who_has_not_reviewed_sees_neither(
    store: Store, both: tuple[Case, ReviewSession, ReviewSession]
) -> None:
    taken, attending, operator = both
    store.sign(attending.id, ATTENDING)
    store.sign(operator.id, OPERATOR)
    (row,) = store.cases(THIRD)
    assert (row.sessions, row.n_sessions, row.n_tags, row.status) == ((), 0, 0, "new")
    assert row.edited_at == taken.taken_in_at
    with pytest.raises(UserFacingError, match="A-01 and R-07 are kept"):
        store.find_session(taken.id, viewer=THIRD)


def test_a_review_is_found_by_its_edition(store: Store) -> None:
    taken = store.take_in(case("C-1", clip("one")), ATTENDING)
    first = store.start_session(taken.id, Reviewer(ATTENDING))
    store.sign(first.id, ATTENDING)
    second = store.next_edition(first.id, ATTENDING)
    assert store.find_session(taken.id, ATTENDING, edition=1).id == first.id
    assert store.find_session(taken.id, edition=2).id == second.id
    with pytest.raises(UserFacingError, match="no edition 3"):
        store.find_session(taken.id, edition=3)
    (row,) = store.cases()
    assert sorted(line.edition for line in row.sessions) == [1, 2]
