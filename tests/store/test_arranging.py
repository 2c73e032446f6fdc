"""Parts of a case are moved, offset and added; every row of every session stays on its pictures."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from new_stores import new_store
from store_scenes import BY, all_rows, case, clip, tag

from annotate.case import Case, ReviewSession, SessionStatus
from annotate.errors import UserFacingError
from annotate.ids import ClipId, RowId, new_id
from annotate.marks import Calibration, Mark, MarkKind, Measurement, Setting
from annotate.people import Reviewer
from annotate.tags import Comment, Tag, TagKind
from annotate.watching import Watched
from store import Put, Store

S = 1_000_000


def three_parts(store: Store) -> tuple[Case, ReviewSession]:
    """A case of three parts of 60, 30 and 20 s."""
    parts = [clip("a"), clip("b", 30 * S), clip("c", 20 * S)]
    taken = store.take_in(case("C-1", *parts), BY)
    return taken, store.start_session(taken.id, Reviewer(BY))


def order_of(case: Case, *wanted: int | tuple[int, int]) -> list[tuple[ClipId, int]]:
    """Parts by number from 0, each alone or with its lead."""
    pairs = [w if isinstance(w, tuple) else (w, 0) for w in wanted]
    return [(case.clips[n].id, lead) for n, lead in pairs]


def arranged(store: Store, case: Case, *wanted: int | tuple[int, int]) -> Case:
    return store.arrange(case.id, order_of(case, *wanted), "A-02")


def spans(store: Store, session: ReviewSession) -> list[tuple[int, int | None]]:
    return [(t.start_us // S, t.end_us and t.end_us // S) for t in store.markup(session.id).tags]


def phase(session: ReviewSession, start_s: int, end_s: int) -> Tag:
    return tag(session.id, start_s * S, end_us=end_s * S)


def test_parts_change_places_and_tags_go_with_them(store: Store) -> None:
    taken, session = three_parts(store)
    on_a, on_b = phase(session, 10, 20), phase(session, 65, 70)
    store.edit(session.id, "add", BY, Put(on_a), Put(on_b))
    now = arranged(store, taken, 1, 0, 2)
    assert [c.fingerprint for c in now.clips] == ["b", "a", "c"]
    assert now.length_us == 110 * S
    assert all_rows(store, session.id) == {
        on_a.id: replace(on_a, start_us=40 * S, end_us=50 * S),
        on_b.id: replace(on_b, start_us=5 * S, end_us=10 * S),
    }
    assert store.case("C-1") == now


def test_a_span_is_torn_apart_and_made_whole_again(store: Store) -> None:
    taken, session = three_parts(store)
    over = phase(session, 50, 70)
    store.edit(session.id, "add", BY, Put(over))
    arranged(store, taken, 1, 0, 2)
    rows = store.markup(session.id).tags
    assert spans(store, session) == [(0, 10), (80, 90)]
    assert rows[1].id == over.id, "the earlier piece is still the row that it was"
    assert {replace(r, id=over.id, start_us=0, end_us=1) for r in rows} == {
        replace(over, start_us=0, end_us=1)
    }
    arranged(store, taken, 0, 1, 2)
    assert all_rows(store, session.id) == {over.id: over}


def test_what_was_watched_goes_with_its_pictures(store: Store) -> None:
    taken, session = three_parts(store)
    store.keep_watched(session.id, [Watched(50 * S, 70 * S, 2.0), Watched(90 * S, 110 * S, 1.0)])
    store.sign(session.id, BY)
    arranged(store, taken, 1, 0, 2)
    moved = {(w.start_us // S, w.end_us // S, w.speed) for w in store.watched(session.id)}
    assert moved == {(0, 10, 2.0), (80, 90, 2.0), (90, 110, 1.0)}
    arranged(store, taken, 0, 1, 2)
    back = {(w.start_us // S, w.end_us // S, w.speed) for w in store.watched(session.id)}
    assert back == {(50, 60, 2.0), (60, 70, 2.0), (90, 110, 1.0)}


def test_pieces_that_say_different_things_by_now_stay_apart(store: Store) -> None:
    taken, session = three_parts(store)
    over = phase(session, 50, 70)
    store.edit(session.id, "add", BY, Put(over))
    arranged(store, taken, 1, 0, 2)
    later = next(t for t in store.markup(session.id).tags if t.id != over.id)
    store.edit(session.id, "note", BY, Put(replace(later, comment="slow")))
    arranged(store, taken, 0, 1, 2)
    assert spans(store, session) == [(50, 60), (60, 70)]


def test_two_equal_spans_that_meet_at_a_join_and_were_never_one_stay_two(store: Store) -> None:
    taken, session = three_parts(store)
    store.edit(session.id, "add", BY, Put(phase(session, 50, 60)), Put(phase(session, 60, 70)))
    before = all_rows(store, session.id)
    arranged(store, taken, 2, 0, 1)
    assert spans(store, session) == [(70, 80), (80, 90)]
    arranged(store, taken, 0, 1, 2)
    assert all_rows(store, session.id) == before


def test_a_gap_is_in_the_length_and_keeps_a_span_whole(store: Store) -> None:
    taken, session = three_parts(store)
    store.edit(session.id, "add", BY, Put(phase(session, 50, 70)))
    now = arranged(store, taken, 0, (1, 4 * S), 2)
    assert now.length_us == 114 * S
    assert now.clips[1].lead_us == 4 * S
    assert now.clock.gaps == ((60 * S, 64 * S),)
    assert spans(store, session) == [(50, 74)]


def test_what_lies_in_a_repeated_head_moves_to_the_equal_picture(store: Store) -> None:
    taken, session = three_parts(store)
    event = Tag(RowId(new_id()), session.id, TagKind.EVENT, "good-move", 62 * S)
    store.edit(session.id, "add", BY, Put(event), Put(phase(session, 60, 80)))
    now = arranged(store, taken, 0, (1, -5 * S), 2)
    assert now.length_us == 105 * S
    assert spans(store, session) == [(57, None), (60, 75)]


def test_every_kind_of_row_moves_and_references_hold(store: Store) -> None:
    taken, session = three_parts(store)
    points, row_id = ((0.5, 0.5),), lambda: RowId(new_id())
    mark = Mark(row_id(), session.id, MarkKind.TEXT, 50 * S, 70 * S, points, "here")
    scale = Calibration(
        row_id(), session.id, taken.clips[1].id, 60 * S, 90 * S, "limbus", "iris",
        11.7, 0.4, points, 0.02, 1e-3,
    )  # fmt: skip
    rows = [
        mark, scale,
        Comment(row_id(), session.id, "look", 65 * S, 66 * S, mark_id=mark.id),
        Comment(row_id(), session.id, "and before", 51 * S, mark_id=mark.id),
        Measurement(row_id(), session.id, "d", 61 * S, points, 5, 1, "mm", "two", scale.id),
        Setting(row_id(), session.id, 55 * S, 60 * S, "pulse"),
    ]  # fmt: skip
    store.edit(session.id, "add", BY, *map(Put, rows))
    arranged(store, taken, 1, 0, 2)
    now = store.markup(session.id)
    by_text = {c.text: c for c in now.comments}
    marks = {(m.start_us // S, m.end_us // S): m.id for m in now.marks}
    assert set(marks) == {(0, 10), (80, 90)}
    assert (by_text["look"].start_us, by_text["look"].mark_id) == (5 * S, marks[0, 10])
    assert (by_text["and before"].start_us, by_text["and before"].mark_id) == (
        81 * S, marks[80, 90],
    )  # fmt: skip
    assert (now.calibrations[0].start_us, now.calibrations[0].end_us) == (0, 30 * S)
    assert now.measurements[0].at_us == 1 * S
    assert (now.settings[0].start_us, now.settings[0].end_us) == (85 * S, 90 * S)
    arranged(store, taken, 0, 1, 2)
    assert all_rows(store, session.id) == {row.id: row for row in rows}
    assert store.check() == ()


def test_parts_are_added_at_the_end_and_undo_goes_on(store: Store) -> None:
    taken, session = three_parts(store)
    row = phase(session, 50, 70)
    store.edit(session.id, "add", BY, Put(row))
    now = store.add_clips(taken.id, [clip("d", 7 * S)], 3, "A-02")
    assert [c.fingerprint for c in now.clips] == ["a", "b", "c", "d"]
    assert now.length_us == 117 * S
    assert all_rows(store, session.id) == {row.id: row}
    assert store.undo_kind(session.id) == "add"
    assert store.undo(session.id, BY) is not None
    assert store.redo(session.id, BY) is not None


def test_a_part_added_between_tears_what_lay_over_the_join(store: Store) -> None:
    taken, session = three_parts(store)
    store.edit(session.id, "add", BY, Put(phase(session, 50, 70)))
    arranged(store, taken, 0, (1, -2 * S), 2)
    assert spans(store, session) == [(50, 68)]
    now = store.add_clips(taken.id, [clip("d", 7 * S)], 1, "A-02")
    assert [c.lead_us for c in now.clips] == [0, 0, 0, 0], "it lies beside another part now"
    assert spans(store, session) == [(50, 60), (67, 77)]


def test_what_was_done_before_cannot_be_undone_once_times_have_moved(store: Store) -> None:
    taken, session = three_parts(store)
    store.edit(session.id, "add", BY, Put(phase(session, 1, 2)))
    store.edit(session.id, "more", BY, Put(phase(session, 3, 4)))
    store.undo(session.id, BY)
    arranged(store, taken, 1, 0, 2)
    assert (store.undo_kind(session.id), store.redo_kind(session.id)) == (None, None)
    assert store.undo(session.id, BY) is None
    assert store.redo(session.id, BY) is None
    last = store.history(session.id)[-1]
    assert (last.kind, last.by) == ("parts of the recording moved", "A-02")
    new = phase(session, 95, 96)
    store.edit(session.id, "after", BY, Put(new))
    assert store.undo_kind(session.id) == "after"
    assert store.undo(session.id, BY) is not None
    assert new.id not in all_rows(store, session.id)


def test_a_signed_review_goes_along_and_stays_signed(store: Store) -> None:
    taken, session = three_parts(store)
    other = store.start_session(taken.id, Reviewer("A-09"))
    for one in (session, other):
        store.edit(one.id, "add", BY, Put(phase(one, 10, 20)))
    signed = store.sign(session.id, BY)
    arranged(store, taken, 1, 0, 2)
    assert store.session(session.id) == signed
    assert signed.status is SessionStatus.SIGNED
    assert spans(store, session) == spans(store, other) == [(40, 50)]


def test_the_case_journal_says_who_arranged_what(store: Store) -> None:
    taken, _ = three_parts(store)
    arranged(store, taken, 0, 1, 2)
    assert store.case_history(taken.id) == (), "nothing was moved"
    arranged(store, taken, 1, (0, 3 * S), 2)
    store.add_clips(taken.id, [clip("d")], 0, "A-03")
    first, second = store.case_history(taken.id)
    ids = [c.id for c in taken.clips]
    assert (first.kind, first.by) == ("parts of the recording moved", "A-02")
    assert [(p.clip_id, p.lead_us) for p in first.before] == [(i, 0) for i in ids]
    assert [(p.clip_id, p.lead_us) for p in first.after] == [
        (ids[1], 0), (ids[0], 3 * S), (ids[2], 0),
    ]  # fmt: skip
    assert (second.kind, second.by) == ("parts of the recording added", "A-03")
    assert second.before == first.after
    assert [p.clip_id for p in second.after][1:] == [ids[1], ids[0], ids[2]]


Refused = tuple[Callable[[Store, Case], object], str]
REFUSED: Sequence[Refused] = [
    (lambda s, c: arranged(s, c, 0, 1), "other parts than those"),
    (lambda s, c: arranged(s, c, 0, 1, 1), "other parts than those"),
    (lambda s, c: arranged(s, c, (0, 5), 1, 2), "takes no offset"),
    (lambda s, c: arranged(s, c, 0, (1, -30 * S), 2), "nothing of it would be left"),
    (lambda s, c: arranged(s, c, 2, (0, -20 * S), 1), "nothing of the part before"),
    (lambda s, c: arranged(s, c, 0, (1, -25 * S), (2, -5 * S)), "nothing of the part before"),
    (lambda s, c: arranged(s, c, 0, (1, 4000 * 3600 * S), 2), "longer than any case"),
    (lambda s, c: s.add_clips(c.id, [clip("a")], 0, BY), "belongs to case C-1 already"),
    (lambda s, c: s.add_clips(c.id, [clip("x"), clip("x")], 0, BY), "same clip twice"),
]


@pytest.mark.parametrize(("deed", "words"), REFUSED)
def test_what_cannot_be_is_refused_and_changes_nothing(
    deed: Callable[[Store, Case], object], words: str, store: Store
) -> None:
    taken, session = three_parts(store)
    store.edit(session.id, "add", BY, Put(phase(session, 50, 70)))
    before = all_rows(store, session.id)
    with pytest.raises(UserFacingError, match=words):
        deed(store, taken)
    assert store.case("C-1") == taken
    assert all_rows(store, session.id) == before
    assert store.undo_kind(session.id) == "add"
    assert store.case_history(taken.id) == ()


LENGTHS = (60 * S, 30 * S, 20 * S)


@st.composite
def orders(draw: st.DrawFn) -> list[tuple[int, int]]:
    """Parts in any order, with gaps."""
    places = draw(st.permutations(range(3)))
    leads = [0, *(draw(st.sampled_from((0, 1, 4 * S))) for _ in range(2))]
    return list(zip(places, leads, strict=True))


def on_clips(case: Case, rows: Sequence[Tag]) -> list[tuple[ClipId, int, int]]:
    """What rows cover of each clip, in the clip's own time; an instant covers nothing."""
    found = []
    for n, part in enumerate(case.clips):
        begins, ends, origin = (
            case.clock.start_of(n),
            case.clock.end_of(n),
            case.clock.to_case(n, 0),
        )
        for row in rows:
            end_us = row.start_us if row.end_us is None else row.end_us
            start, end = max(row.start_us, begins), min(end_us, ends)
            if start < end or (row.end_us is None and begins <= row.start_us < ends):
                found.append((part.id, start - origin, end - origin))
    return sorted(found)


WALKS = st.lists(orders(), min_size=1, max_size=4)
SPANS = st.lists(st.tuples(st.integers(0, 110 * S - 2), st.integers(1, 110 * S)), max_size=8)


def edges_stay(walk: list[list[tuple[int, int]]], wanted: list[tuple[int, int]]) -> None:
    with TemporaryDirectory() as folder, new_store(Path(folder) / "desk.sqlite") as store:
        taken, session = three_parts(store)
        rows = [
            tag(session.id, start, end_us=min(start + length, 110 * S), comment=str(n))
            for n, (start, length) in enumerate(wanted)
        ]
        events = [
            Tag(RowId(new_id()), session.id, TagKind.EVENT, "good-move", row.start_us)
            for row in rows
        ]
        if rows:
            store.edit(session.id, "add", BY, *map(Put, (*rows, *events)))
        before = all_rows(store, session.id)
        for order in walk:
            now = arranged(store, taken, *order)
            assert now.length_us == sum(LENGTHS) + sum(lead for _, lead in order)
            found = store.markup(session.id).tags
            for row in rows:
                pieces = [t for t in found if t.comment == row.comment and t.end_us]
                assert on_clips(now, pieces) == on_clips(taken, [row])
            for event in events:
                (same,) = (t for t in found if t.id == event.id)
                assert on_clips(now, [same]) == on_clips(taken, [event])
        arranged(store, taken, 0, 1, 2)
        assert all_rows(store, session.id) == before
        assert store.check() == ()


@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(WALKS, SPANS)
def test_edges_stay_on_their_pictures_and_arranging_back_restores_every_row(
    walk: list[list[tuple[int, int]]], wanted: list[tuple[int, int]]
) -> None:
    edges_stay(walk, wanted)


@pytest.mark.soak
@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(WALKS, SPANS)
def test_edges_stay_for_long(
    walk: list[list[tuple[int, int]]], wanted: list[tuple[int, int]]
) -> None:
    edges_stay(walk, wanted)
