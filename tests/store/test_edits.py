from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from store_scenes import BY, all_rows, one_of_each, tag, with_session

from annotate.errors import UserFacingError
from annotate.ids import RowId, SessionId
from annotate.marks import Mark
from annotate.tags import Comment, Tag
from store import Drop, Put, Store, open_store


def test_an_edit_says_what_it_changed(store: Store) -> None:
    _, session = with_session(store)
    first, second = tag(session.id), tag(session.id, 5)
    store.edit(session.id, "add", BY, Put(first))
    changes = store.edit(session.id, "swap", BY, Drop(Tag, first.id), Put(second))
    assert (changes.session_id, changes.kind) == (session.id, "swap")
    assert changes.tables == {"tags"}
    assert (changes.put, changes.dropped) == ((second.id,), (first.id,))
    assert changes.rows == (second,)


def test_an_edit_is_one_undo_step_however_much_it_changes(store: Store) -> None:
    case, session = with_session(store)
    entered = one_of_each(session.id, case.clips[0].id)
    store.edit(session.id, "paste", BY, *map(Put, entered))
    undone = store.undo(session.id, "R-07")
    assert undone is not None
    assert set(undone.dropped) == {row.id for row in entered}
    assert all_rows(store, session.id) == {}
    assert store.undo(session.id, BY) is None


def test_an_edit_that_fails_halfway_leaves_nothing(store: Store) -> None:
    _, session = with_session(store)
    with pytest.raises(UserFacingError, match=r"tag is no longer there"):
        store.edit(session.id, "x", BY, Put(tag(session.id)), Drop(Tag, RowId("gone")))
    assert all_rows(store, session.id) == {}
    assert store.history(session.id) == ()
    assert store.undo_kind(session.id) is None


def test_a_new_edit_drops_what_could_be_redone(store: Store) -> None:
    _, session = with_session(store)
    store.edit(session.id, "first", BY, Put(tag(session.id)))
    store.undo(session.id, BY)
    assert store.redo_kind(session.id) == "first"
    store.edit(session.id, "second", BY, Put(tag(session.id)))
    assert store.redo_kind(session.id) is None
    assert store.redo(session.id, BY) is None
    assert [r.is_undone for r in store.history(session.id)] == [True, False, False]


def test_an_edit_that_changes_nothing_makes_no_step_and_keeps_redo(store: Store) -> None:
    _, session = with_session(store)
    row = tag(session.id)
    store.edit(session.id, "add", BY, Put(row))
    store.edit(session.id, "move", BY, Put(replace(row, start_us=0)))
    store.undo(session.id, BY)
    assert store.edit(session.id, "nothing", BY, Put(row)).edit_id == ""
    assert store.redo_kind(session.id) == "move"


def test_history_says_who_did_what_and_what_undoes_what(store: Store) -> None:
    _, session = with_session(store)
    made = store.edit(session.id, "add phase", BY, Put(tag(session.id)))
    undone = store.undo(session.id, "R-07")
    assert undone is not None
    store.redo(session.id, BY)
    first, second, third = store.history(session.id)
    assert (first.id, first.by, first.kind, first.undoes) == (made.edit_id, BY, "add phase", None)
    assert (second.id, second.by, second.undoes) == (undone.edit_id, "R-07", made.edit_id)
    assert third.undoes == undone.edit_id
    assert not first.is_undone
    assert first.at <= second.at <= third.at


def test_undo_survives_a_restart(tmp_path: Path) -> None:
    file = tmp_path / "desk.sqlite"
    with open_store(file) as store:
        _, session = with_session(store)
        row = tag(session.id)
        store.edit(session.id, "add", BY, Put(row))
        store.edit(session.id, "move", BY, Put(replace(row, start_us=3)))
    with open_store(file) as store:
        assert store.undo_kind(session.id) == "move"
        store.undo(session.id, BY)
    with open_store(file) as store:
        assert store.markup(session.id).tags == (row,)
        store.redo(session.id, BY)
        assert store.markup(session.id).tags == (replace(row, start_us=3),)


def test_a_row_changed_behind_the_undo_list_is_not_overwritten(tmp_path: Path) -> None:
    """Another program's write to the same row, which the journal does not know of."""
    import sqlite3

    file = tmp_path / "desk.sqlite"
    with open_store(file) as store:
        _, session = with_session(store)
        row = tag(session.id)
        store.edit(session.id, "add", BY, Put(row))
        with sqlite3.connect(file) as other:
            other.execute("UPDATE tags SET code = 'crack'")
        other.close()
        with pytest.raises(UserFacingError, match="changed by somebody else"):
            store.undo(session.id, BY)
        assert store.markup(session.id).tags == (replace(row, code="crack"),)
        assert store.undo_kind(session.id) == "add"


def test_what_others_belong_to_stays_until_they_are_gone_too(store: Store) -> None:
    case, session = with_session(store)
    entered = one_of_each(session.id, case.clips[0].id)
    store.edit(session.id, "paste", BY, *map(Put, entered))
    comment, mark = entered[1], entered[2]
    with pytest.raises(UserFacingError, match="belongs to this"):
        store.edit(session.id, "drop", BY, Drop(Mark, mark.id))
    assert len(all_rows(store, session.id)) == 7
    store.edit(session.id, "drop both", BY, Drop(Mark, mark.id), Drop(Comment, comment.id))
    assert len(all_rows(store, session.id)) == 5
    store.undo(session.id, BY)
    assert len(all_rows(store, session.id)) == 7


def test_a_comment_cannot_point_at_another_sessions_mark(store: Store) -> None:
    case, session = with_session(store, "C-1")
    _, other = with_session(store, "C-2")
    entered = one_of_each(session.id, case.clips[0].id)
    store.edit(session.id, "paste", BY, *map(Put, entered))
    stray = replace(entered[1], id=RowId("stray"), session_id=other.id)
    with pytest.raises(UserFacingError):
        store.edit(other.id, "stray", BY, Put(stray))
    assert all_rows(store, other.id) == {}


def test_a_row_of_another_session_is_refused(store: Store) -> None:
    _, session = with_session(store, "C-1")
    _, other = with_session(store, "C-2")
    row = tag(session.id)
    store.edit(session.id, "add", BY, Put(row))
    with pytest.raises(ValueError, match="own session"):
        store.edit(other.id, "add", BY, Put(tag(session.id)))
    with pytest.raises(ValueError, match="another session"):
        store.edit(other.id, "take", BY, Put(replace(row, session_id=other.id)))
    with pytest.raises(ValueError, match="another session"):
        store.edit(other.id, "drop", BY, Drop(Tag, row.id))
    assert store.markup(session.id).tags == (row,)


def test_an_edit_needs_changes_a_kind_and_a_code_for_who(store: Store) -> None:
    _, session = with_session(store)
    with pytest.raises(ValueError, match="changes something"):
        store.edit(session.id, "add", BY)
    with pytest.raises(ValueError, match="has a kind"):
        store.edit(session.id, " ", BY, Put(tag(session.id)))
    with pytest.raises(UserFacingError, match="cannot be the reviewer"):
        store.edit(session.id, "add", "Some Name", Put(tag(session.id)))
    assert all_rows(store, session.id) == {}


def test_an_unknown_session_gets_a_sentence(store: Store) -> None:
    unknown = SessionId("nowhere")
    with pytest.raises(UserFacingError, match="no longer in the store"):
        store.markup(unknown)
    with pytest.raises(UserFacingError, match="no longer in the store"):
        store.edit(unknown, "add", BY, Put(tag(unknown)))


def test_signing_freezes_a_session_and_closes_its_undo_list(store: Store) -> None:
    _, session = with_session(store)
    row = tag(session.id)
    store.edit(session.id, "add", BY, Put(row))
    store.edit(session.id, "move", BY, Put(replace(row, start_us=0)))
    store.undo(session.id, BY)
    signed = store.sign(session.id, BY)
    assert signed.status == "signed"
    assert signed.signed_at is not None
    assert signed == store.session(session.id)
    assert (store.undo_kind(session.id), store.redo_kind(session.id)) == (None, None)
    for deed in (
        lambda: store.edit(session.id, "add", BY, Put(tag(session.id))),
        lambda: store.undo(session.id, BY),
        lambda: store.redo(session.id, BY),
        lambda: store.sign(session.id, BY),
    ):
        with pytest.raises(UserFacingError, match="signed and can no longer be changed"):
            deed()
    assert store.markup(session.id).tags == (row,)
    assert [(r.kind, r.is_undone) for r in store.history(session.id)] == [
        ("add", False),
        ("move", True),
        ("move", False),
        ("sign", False),
    ]


def test_two_desks_on_one_file_write_in_turn(tmp_path: Path) -> None:
    file = tmp_path / "desk.sqlite"
    with open_store(file) as one, open_store(file) as two:
        _, session = with_session(one)
        expected = {}
        for n in range(20):
            row = tag(session.id, n)
            (one, two)[n % 2].edit(session.id, "add", BY, Put(row))
            expected[row.id] = row
        assert all_rows(one, session.id) == all_rows(two, session.id) == expected
        two.undo(session.id, BY)
        assert len(all_rows(one, session.id)) == 19
        assert [r.kind for r in one.history(session.id)] == ["add"] * 21
        assert two.check() == ()


def test_the_last_of_several_changes_to_one_row_counts(store: Store) -> None:
    _, session = with_session(store)
    row = tag(session.id)
    moved = replace(row, start_us=0)
    store.edit(session.id, "typed", BY, Put(row), Put(moved))
    assert store.markup(session.id).tags == (moved,)
    assert store.edit(session.id, "in and out", BY, Drop(Tag, row.id), Put(moved)).edit_id == ""
    store.undo(session.id, BY)
    assert store.markup(session.id).tags == ()


def test_a_full_disk_gets_a_sentence_and_costs_nothing_that_was_kept(tmp_path: Path) -> None:
    """SQLite's own limit on the file's size stands in for the disk: the same error, really met."""
    with open_store(tmp_path / "desk.sqlite") as store:
        _, session = with_session(store)
        kept = {}
        with store._database.engine.connect() as connection:
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
            connection.exec_driver_sql(f"PRAGMA max_page_count = {pages + 3}")

        def fill() -> None:
            for n in range(2000):
                row = tag(session.id, n, comment="x" * 500)
                store.edit(session.id, "add", BY, Put(row))
                kept[row.id] = row

        with pytest.raises(UserFacingError, match=r"disk that holds the store desk.sqlite is full"):
            fill()
        assert kept
        assert all_rows(store, session.id) == kept
        assert len(store.history(session.id)) == len(kept)
        assert store.check() == ()


def test_an_edit_made_earlier_says_when(store: Store) -> None:
    _, session = with_session(store)
    at = datetime(2031, 6, 1, 8, 0, tzinfo=UTC)
    store.edit(session.id, "add", BY, Put(tag(session.id)), at=at)
    (record,) = store.history(session.id)
    assert record.at == at
