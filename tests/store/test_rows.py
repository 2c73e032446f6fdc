from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from new_stores import new_store
from store_scenes import BY, all_rows, one_of_each, rows, tag, with_session

from annotate.errors import UserFacingError
from annotate.marks import Mark, MarkKind
from annotate.markup import Row
from store import Put, Store


@pytest.fixture(scope="module")
def scene(tmp_path_factory: pytest.TempPathFactory):  # type: ignore[no-untyped-def]
    folder: Path = tmp_path_factory.mktemp("rows")
    with new_store(folder / "desk.sqlite") as store:
        yield store, *with_session(store)


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_any_row_comes_back_as_it_was_put(scene, data: st.DataObject) -> None:  # type: ignore[no-untyped-def]
    store, case, session = scene
    row: Row = data.draw(rows(session.id, case.clips[0].id))
    store.edit(session.id, "put", BY, Put(row))
    assert all_rows(store, session.id)[row.id] == row


def test_one_of_each_kind_comes_back_with_its_references_and_types(store: Store) -> None:
    case, session = with_session(store)
    entered = one_of_each(session.id, case.clips[0].id)
    store.edit(session.id, "put", BY, *map(Put, entered))
    kept = all_rows(store, session.id)
    assert kept == {row.id: row for row in entered}
    assert all(type(kept[row.id]) is type(row) for row in entered)
    (mark,) = store.markup(session.id).marks
    assert mark.kind is MarkKind.ARROW
    assert isinstance(mark.points, tuple)
    assert isinstance(mark.points[0], tuple)


def test_markup_is_in_order_of_start_then_id(store: Store) -> None:
    _, session = with_session(store)
    late, early, second = (tag(session.id, start) for start in (9_000_000, 0, 4_000_000))
    twin = replace(tag(session.id, 4_000_000), id=min(second.id, "0"))
    store.edit(session.id, "put", BY, *map(Put, (late, second, twin, early)))
    assert store.markup(session.id).tags == (early, twin, second, late)


@pytest.mark.parametrize("bad", ["nul \0 here", "half \ud83d pair"])
def test_text_that_no_database_keeps_gets_a_sentence(store: Store, bad: str) -> None:
    _, session = with_session(store)
    with pytest.raises(UserFacingError, match="cannot be kept"):
        store.edit(session.id, "put", BY, Put(tag(session.id, comment=bad)))
    assert store.markup(session.id).tags == ()
    assert store.history(session.id) == ()


@pytest.mark.parametrize("bad", [float("nan"), float("inf")])
def test_a_number_that_is_none_is_refused(store: Store, bad: float) -> None:
    case, session = with_session(store)
    good = one_of_each(session.id, case.clips[0].id)[2]
    assert isinstance(good, Mark)
    with pytest.raises(ValueError, match="JSON compliant"):
        store.edit(session.id, "put", BY, Put(replace(good, points=((bad, 0.0),), anchors=())))
    assert store.markup(session.id).marks == ()
