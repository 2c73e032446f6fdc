from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest
from sqlalchemy import event
from store_scenes import BY, case, clip, tag, with_session

from annotate.errors import UserFacingError
from annotate.ids import CaseId, ClipId
from annotate.people import Operator, Reviewer, ReviewerKind, TrainingLevel
from annotate.tags import Comment
from store import Put, Store


def test_a_case_comes_back_by_code_and_by_id_as_it_went_in(store: Store) -> None:
    given = case("C-1", clip("a"), clip("b", 90_000_000))
    assert store.take_in(given, BY) == given
    assert store.case("C-1") == given
    assert store.case(given.id) == given
    assert store.case("C-1").clock.duration_us == 150_000_000


def test_a_case_known_by_its_tags_alone_needs_no_clip(store: Store) -> None:
    given = replace(case("C-2"), eye=None, attributes={}, is_model=True)
    store.take_in(given, BY)
    assert store.case("C-2") == given


def test_moments_are_kept_in_utc_and_need_a_zone(store: Store) -> None:
    there = timezone(timedelta(hours=5, minutes=30))
    given = replace(case("C-1"), taken_in_at=datetime(2026, 1, 1, 2, 0, 0, 1, tzinfo=there))
    store.take_in(given, BY)
    kept = store.case("C-1").taken_in_at
    assert kept == given.taken_in_at
    assert kept.tzinfo is UTC
    naive = replace(case("C-2"), taken_in_at=datetime(2026, 1, 1))  # noqa: DTZ001 - on purpose
    with pytest.raises(Exception, match="time zone"):
        store.take_in(naive, BY)


def test_a_taken_code_is_refused_and_nothing_of_the_case_is_kept(store: Store) -> None:
    store.take_in(case("C-1", clip("a")), BY)
    with pytest.raises(UserFacingError, match="There is a case C-1 already"):
        store.take_in(case("C-1", clip("b"), operator="R-99"), BY)
    assert [row.case.operator.code for row in store.cases()] == ["R-07"]
    assert [operator.code for operator in store.operators()] == ["R-07"]


def test_a_clip_of_another_case_is_refused_with_that_cases_code(store: Store) -> None:
    store.take_in(case("C-1", clip("a")), BY)
    with pytest.raises(UserFacingError) as told:
        store.take_in(case("C-2", clip("b"), clip("a")), BY)
    assert told.value.what == "The clip a.mp4 belongs to case C-1 already."
    assert [row.case.code for row in store.cases()] == ["C-1"]


def test_the_same_clip_twice_in_a_case_is_refused(store: Store) -> None:
    with pytest.raises(UserFacingError, match="same clip twice"):
        store.take_in(case("C-1", clip("a"), clip("a")), BY)


def test_a_known_operator_keeps_the_known_level(store: Store) -> None:
    first = replace(case("C-1"), operator=Operator("A-01", TrainingLevel.ATTENDING))
    store.take_in(first, BY)
    second = store.take_in(replace(case("C-2"), operator=Operator("A-01")), BY)
    assert second.operator.level is TrainingLevel.ATTENDING
    assert store.operators() == (Operator("A-01", TrainingLevel.ATTENDING),)


@pytest.mark.parametrize(
    ("codes", "told"),
    [
        ([], "The store holds no case yet: take one in first."),
        (["C-1", "C-2"], "The store holds C-1, C-2."),
    ],
)
def test_an_unknown_case_is_told_what_there_is(store: Store, codes: list[str], told: str) -> None:
    for code in codes:
        store.take_in(case(code), BY)
    with pytest.raises(UserFacingError, match="There is no case 'C-9'") as error:
        store.case("C-9")
    assert error.value.do == told


def test_among_many_cases_the_likeliest_are_named(store: Store) -> None:
    for n in range(30):
        store.take_in(case(f"R-{n:02d}-x"), BY)
    store.take_in(case("phaco-031"), BY)
    with pytest.raises(UserFacingError) as error:
        store.case("phaco-013")
    assert error.value.do.startswith("The store holds 31 cases, among them phaco-031,")


def test_a_code_that_is_none_is_refused(store: Store) -> None:
    with pytest.raises(UserFacingError, match="cannot be the case code"):
        store.take_in(case("A Name"), BY)


@pytest.mark.parametrize("number", [0, -1, 100_001, 10**30])
def test_a_case_number_out_of_bounds_gets_a_sentence(store: Store, number: int) -> None:
    with pytest.raises(UserFacingError, match="cannot be the case number"):
        store.take_in(case("C-1", number=number), BY)
    assert store.cases() == ()


def test_a_clip_can_be_found_again_and_hashed(store: Store) -> None:
    given = case("C-1", clip("a"))
    store.take_in(given, BY)
    store.relocate_clip(given.clips[0].id, "elsewhere/a.mp4")
    store.keep_full_hash(given.clips[0].id, "ab" * 32)
    (kept,) = store.case("C-1").clips
    assert kept == replace(given.clips[0], path="elsewhere/a.mp4", full_hash="ab" * 32)
    with pytest.raises(UserFacingError, match="clip is no longer in the store"):
        store.relocate_clip(ClipId("none"), "x")


def test_the_caseload_counts_and_tells_how_far_each_case_is(store: Store) -> None:
    new = store.take_in(case("C-1"), BY)
    _, draft = with_session(store, "C-2")
    half, signed = with_session(store, "C-3")
    comment = Comment(tag(draft.id).id, draft.id, "good", 3)
    store.edit(draft.id, "add", BY, Put(tag(draft.id)), Put(tag(draft.id)), Put(comment))
    store.sign(signed.id, BY)
    first, second, third = store.cases()
    assert (first.case, first.status, first.n_sessions) == (new, "new", 0)
    assert first.edited_at == new.taken_in_at
    assert (second.status, second.n_sessions, second.n_tags, second.n_comments) == (
        "draft",
        1,
        2,
        1,
    )
    assert second.edited_at > draft.started_at
    assert (third.status, third.n_tags) == ("signed", 0)
    store.start_session(half.id, Reviewer("R-07", ReviewerKind.SELF))
    assert [(row.status, row.n_sessions) for row in store.cases()][2] == ("draft", 2)


def test_the_caseload_takes_as_many_queries_for_many_cases_as_for_one(store: Store) -> None:
    statements: list[str] = []
    engine = store._database.engine
    event.listen(engine, "before_cursor_execute", lambda *about: statements.append(about[2]))
    with_session(store, "C-0")
    counts = []
    for n in (1, 60):
        for k in range(n):
            store.take_in(case(f"D-{n}-{k}", clip(f"{n}-{k}")), BY)
        statements.clear()
        assert len(store.cases()) == (2 if n == 1 else 62)
        counts.append(len(statements))
    assert counts[0] == counts[1]


def test_a_case_that_is_gone_cannot_be_reviewed(store: Store) -> None:
    with pytest.raises(UserFacingError, match="no longer in the store"):
        store.start_session(CaseId("none"), Reviewer(BY))
    with pytest.raises(UserFacingError, match="no longer in the store"):
        store.find_session(CaseId("none"))
