from __future__ import annotations

from dataclasses import replace

import pytest
from store_scenes import with_session

from annotate.errors import UserFacingError
from annotate.ids import ClipId, RowId
from annotate.marks import Track
from store import Store


def test_derived_content_is_found_by_input_and_version(store: Store) -> None:
    store.keep_derived("clip-index", "print", "1", b"\x00\xff")
    assert store.derived("clip-index", "print", "1") == b"\x00\xff"
    assert store.derived("clip-index", "print", "2") is None
    assert store.derived("clip-index", "other", "1") is None
    assert store.derived("thumbnails", "print", "1") is None


def test_derived_content_of_a_new_version_takes_the_old_ones_place(store: Store) -> None:
    store.keep_derived("clip-index", "print", "1", b"old")
    store.keep_derived("clip-index", "print", "2", b"new")
    assert store.derived("clip-index", "print", "2") == b"new"
    assert store.derived("clip-index", "print", "1") is None


def test_a_track_takes_the_place_of_its_forerunner(store: Store) -> None:
    case, _ = with_session(store)
    clip_id = case.clips[0].id
    first = Track(RowId("t1"), clip_id, "eye", "limbus", "1", "print", b"1")
    other = replace(first, id=RowId("t2"), kind="needle", content=b"2")
    again = replace(first, id=RowId("t3"), version="2", content=b"3")
    for track in (first, other, again):
        store.keep_track(track)
    assert store.tracks(clip_id) == (again, other)


def test_everything_derived_may_go_and_nothing_entered_goes_with_it(store: Store) -> None:
    case, session = with_session(store)
    store.keep_derived("clip-index", "print", "1", b"x")
    store.keep_track(Track(RowId("t"), case.clips[0].id, "eye", "a", "1", "print", b"x"))
    store.drop_derived()
    assert store.derived("clip-index", "print", "1") is None
    assert store.tracks(case.clips[0].id) == ()
    assert store.case("C-1") == case
    assert store.session(session.id) == session


def test_a_track_of_a_clip_that_is_gone_gets_a_sentence(store: Store) -> None:
    track = Track(RowId("t"), ClipId("gone"), "eye", "a", "1", "print", b"x")
    with pytest.raises(UserFacingError, match="clip is no longer in the store"):
        store.keep_track(track)
