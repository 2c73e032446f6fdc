"""Taking over the tags of another review."""

from __future__ import annotations

from pathlib import Path

from desk_scenes import S, opened, presenter_on
from hypothesis import given
from hypothesis import strategies as st

from annotate.ids import RowId, SessionId, new_id
from annotate.markup import Markup
from annotate.tagfile import TagRow
from annotate.tagfile.rows import RowKind
from annotate.tags import Comment, Tag, TagKind
from annotate.vocabulary_file import shipped_vocabulary
from app.review.adding_tags import add_rows, copied
from app.review.fitting_in import fitted_in
from app.review.spans import EXCLUSIVE

WORDS = shipped_vocabulary("phaco-divide-conquer")
THEIRS, MINE = SessionId("theirs"), SessionId("mine")
LENGTH_US = 100_000
ALL = {*TagKind, "comment"}


def tag(kind: TagKind, code: str, start: int, end: int | None, session: SessionId = THEIRS) -> Tag:
    return Tag(RowId(new_id()), session, kind, code, start, end)


@st.composite
def tag_sets(draw: st.DrawFn) -> Markup:
    """Tags of every kind; those of an exclusive kind never overlap."""
    tags: list[Tag] = []
    for kind, code in (
        (TagKind.PHASE, "sculpt"), (TagKind.IDLE, "wait"), (TagKind.HAND_OVER, "A-03"),
    ):  # fmt: skip
        edges = sorted(draw(st.sets(st.integers(0, LENGTH_US + 500), max_size=8)))
        pairs = zip(edges[::2], edges[1::2], strict=False)
        tags.extend(tag(kind, code, a, b) for a, b in pairs)
    codes = st.sampled_from(["good-move", "not-a-word"])
    events = draw(st.lists(st.tuples(codes, st.integers(0, LENGTH_US)), max_size=4))
    tags.extend(tag(TagKind.EVENT, code, at, None) for code, at in events)
    return Markup(tags=tuple(sorted(tags, key=lambda t: (t.start_us, t.id))))


@given(theirs=tag_sets(), mine=tag_sets())
def test_nothing_overlaps_leaves_the_case_or_comes_twice(theirs: Markup, mine: Markup) -> None:
    found = copied(theirs, mine, MINE, WORDS, LENGTH_US, ALL)
    n_left = found.n_there + found.n_overlapping + found.n_unknown + found.n_beyond
    assert len(found.rows) + n_left == len(theirs.tags)
    assert all((row.end_us or row.start_us) <= LENGTH_US for row in found.rows)
    assert all(row.session_id == MINE for row in found.rows)
    after = Markup(tags=(*mine.tags, *(row for row in found.rows if isinstance(row, Tag))))
    for row in found.rows:
        if isinstance(row, Tag) and row.kind in EXCLUSIVE:
            others = [t for t in after.tags if t.kind is row.kind and t.id != row.id]
            assert not any(
                t.start_us < (row.end_us or 0) and row.start_us < (t.end_us or 0) for t in others
            )
    assert not copied(theirs, after, MINE, WORDS, LENGTH_US, ALL).rows


@given(theirs=tag_sets())
def test_times_come_to_the_microsecond_with_ids_of_their_own(theirs: Markup) -> None:
    found = copied(theirs, Markup(), MINE, WORDS, 2 * LENGTH_US, ALL)
    known = [t for t in theirs.tags if t.code != "not-a-word"]
    shapes = {(t.kind, t.code, t.start_us, t.end_us) for t in known}
    assert {(t.kind, t.code, t.start_us, t.end_us) for t in found.rows if isinstance(t, Tag)} == (
        shapes
    )
    assert not {t.id for t in theirs.tags} & {row.id for row in found.rows}


def test_only_the_kinds_asked_for_come_and_what_is_left_out_is_said() -> None:
    theirs = Markup(
        tags=(
            tag(TagKind.PHASE, "sculpt", 10, 20),
            tag(TagKind.PHASE, "chop-chop", 30, 40),
            tag(TagKind.EVENT, "good-move", 12, None),
            tag(TagKind.PHASE, "crack", LENGTH_US - 5, LENGTH_US + 5),
        ),
        comments=(Comment(RowId("c"), THEIRS, "Well held", 15, mark_id=RowId("m")),),
    )
    mine = Markup(tags=(tag(TagKind.PHASE, "incision", 15, 18, MINE),))
    found = copied(theirs, mine, MINE, WORDS, LENGTH_US, {TagKind.PHASE})
    assert not found.rows
    assert found.words == (
        "Left out: 1 over spans of your own, 1 not in this case's vocabulary, "
        "1 beyond the end of this case."
    )
    (comment,) = copied(theirs, mine, MINE, WORDS, LENGTH_US, {"comment"}).rows
    assert isinstance(comment, Comment)
    assert (comment.text, comment.mark_id) == ("Well held", None)


# A tag file


def row(kind: RowKind, code: str, start_us: int, end_us: int | None = None) -> TagRow:
    return TagRow(kind, code, start_us, end_us)


def phase(code: str, start_us: int, end_us: int) -> TagRow:
    return row(RowKind.PHASE, code, start_us, end_us)


def spans_of(tags: tuple[Tag, ...]) -> list[tuple[str, int, int | None]]:
    return [(t.code, t.start_us, t.end_us) for t in tags]


def overlapping(tags: list[Tag]) -> list[tuple[Tag, Tag]]:
    return [
        (one, other)
        for n, one in enumerate(tags)
        for other in tags[n + 1 :]
        if one.kind is other.kind
        and one.kind in EXCLUSIVE
        and one.start_us < (other.end_us or 0)
        and other.start_us < (one.end_us or 0)
    ]


def test_what_is_there_stands_and_the_row_over_it_is_told(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        mine = [phase("sculpt", 10 * S, 20 * S)]
        add_rows(store, presenter.session, mine, by="A-01")
        read = add_rows(
            store,
            presenter.session,
            [phase("crack", 15 * S, 30 * S), phase("irrigation", 20 * S, 25 * S), *mine],
            by="A-01",
        )
        presenter.look_again()
        assert spans_of(presenter.markup.tags) == [
            ("sculpt", 10 * S, 20 * S),
            ("irrigation", 20 * S, 25 * S),
        ]
        assert (read.n_added, read.n_there, read.n_left_out) == (1, 1, 1)
        assert read.words == (
            "1 row is new and kept, 1 there already; 1 left out for want of room."
        )
        label = presenter.vocabulary.label
        assert read.rows_told(presenter.vocabulary) == (
            f"{label('crack')}, 0:15.0 to 0:30.0, is left out: {label('sculpt')}, "
            "0:10.0 to 0:20.0, was there and stays.",
        )


def test_rows_of_one_file_yield_as_on_the_desk_and_one_undo_takes_all_back(
    tmp_path: Path,
) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        rows = [
            phase("sculpt", 10 * S, 20 * S),
            phase("crack", 15 * S, 30 * S),
            row(RowKind.IDLE, "wait", 12 * S, 18 * S),
            row(RowKind.EVENT, "good-move", 16 * S),
            phase("irrigation", 28 * S, 29 * S),
            phase("incision", 28 * S, 40 * S),
        ]
        read = add_rows(store, presenter.session, rows, by="A-01")
        presenter.look_again()
        assert spans_of(presenter.markup.tags) == [
            ("sculpt", 10 * S, 15 * S),
            ("wait", 12 * S, 18 * S),
            ("crack", 15 * S, 28 * S),
            ("good-move", 16 * S, None),
            ("incision", 28 * S, 40 * S),
        ]
        label = presenter.vocabulary.label
        assert read.rows_told(presenter.vocabulary) == (
            f"{label('sculpt')}, 0:10.0 to 0:20.0, ends at 0:15.0, where {label('crack')} begins.",
            f"{label('crack')}, 0:15.0 to 0:30.0, ends at 0:28.0, "
            f"where {label('incision')} begins.",
            f"{label('irrigation')}, 0:28.0 to 0:29.0, is left out: {label('incision')}, "
            "0:28.0 to 0:40.0, of the same file covers it.",
        )
        assert presenter.undo()
        assert not presenter.markup.tags
        assert presenter.redo()
        assert len(presenter.markup.tags) == 5
        assert read.words == (
            "5 rows are new and kept; 2 cut where the next begins; 1 left out for want of room."
        )
        again = add_rows(store, presenter.session, rows, by="A-01")
        assert (again.n_added, again.n_there, again.n_left_out) == (0, 3, 3)


def test_a_file_written_to_the_millisecond_fits_between_spans_to_the_microsecond() -> None:
    """Written out, 3.0015 s becomes 3.002: half a millisecond over the span that is there."""
    mine = tag(TagKind.PHASE, "sculpt", 3_001_500, 9_000_000, MINE)
    before = tag(TagKind.PHASE, "incision", 1_000_000, 3_002_000)
    after = tag(TagKind.PHASE, "crack", 8_999_400, 12_000_000)
    fitted = fitted_in([before, after], [mine])
    spans = [(r.start_us, r.end_us) for r in fitted.rows]
    assert spans == [(1_000_000, 3_001_500), (9_000_000, 12_000_000)]
    assert not fitted.met


@st.composite
def any_spans(draw: st.DrawFn) -> list[Tag]:
    """Spans of two kinds that lie over each other as they like; times in milliseconds."""
    pairs = st.tuples(st.integers(0, 12), st.integers(1, 8))
    kinds = st.sampled_from([(TagKind.PHASE, "sculpt"), (TagKind.IDLE, "wait")])
    made = draw(st.lists(st.tuples(kinds, pairs), max_size=9))
    return [tag(k, code, a * 1000, (a + n) * 1000) for (k, code), (a, n) in made]


@given(fresh=any_spans(), mine=tag_sets())
def test_no_two_spans_of_a_kind_overlap_and_each_row_is_kept_or_told(
    fresh: list[Tag], mine: Markup
) -> None:
    fitted = fitted_in(fresh, mine.tags)
    kept = [r for r in fitted.rows if isinstance(r, Tag)]
    assert not overlapping([*mine.tags, *kept])
    gone = {each.before.id for each in fitted.met if each.after is None}
    assert {t.id for t in fresh} == {t.id for t in kept} | gone
    whole = {t.id: t for t in fresh}
    changed = {t.id for t in kept if _is_cut(whole[t.id], t)}
    assert changed <= {each.before.id for each in fitted.met}


def _is_cut(before: Tag, after: Tag) -> bool:
    """Whether a span lost more than what rounding at both ends explains."""
    lost = after.start_us - before.start_us + (before.end_us or 0) - (after.end_us or 0)
    return lost >= 2000


@given(fresh=any_spans())
def test_reading_the_same_rows_again_adds_nothing(fresh: list[Tag]) -> None:
    kept = [r for r in fitted_in(fresh, ()).rows if isinstance(r, Tag)]
    shapes = {(t.kind, t.code, t.start_us, t.end_us) for t in kept}
    again = [t for t in fresh if (t.kind, t.code, t.start_us, t.end_us) not in shapes]
    assert not fitted_in(again, kept).rows


def test_rows_without_overlaps_come_as_they_are() -> None:
    theirs = [tag(TagKind.PHASE, "sculpt", 0, 5_000), tag(TagKind.IDLE, "wait", 2_000, 4_000)]
    assert fitted_in(theirs, ()).rows == tuple(theirs)


def test_overlaps_within_a_file_may_stay_as_it_has_them_and_are_told(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        rows = [phase("sculpt", 10 * S, 20 * S), phase("crack", 15 * S, 30 * S)]
        read = add_rows(store, presenter.session, rows, by="A-01", yields=False)
        presenter.look_again()
        assert spans_of(presenter.markup.tags) == [
            ("sculpt", 10 * S, 20 * S),
            ("crack", 15 * S, 30 * S),
        ]
        assert read.words == "2 rows are new and kept; 1 overlapping another of the file."
        label = presenter.vocabulary.label
        assert read.rows_told(presenter.vocabulary) == (
            f"{label('sculpt')}, 0:10.0 to 0:20.0, overlaps {label('crack')}, 0:15.0 to 0:30.0; "
            "both stay, and figures report it as a conflict.",
        )


@given(fresh=any_spans())
def test_overlaps_that_stay_are_told_once_each(fresh: list[Tag]) -> None:
    fitted = fitted_in(fresh, (), yields=False)
    assert fitted.rows == tuple(fresh)
    assert bool(fitted.met) == bool(overlapping(fresh))
    told = [each.before.id for each in fitted.met]
    assert len(told) == len(set(told))
