"""Taking over the tags of another review."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from annotate.ids import RowId, SessionId, new_id
from annotate.markup import Markup
from annotate.tags import Comment, Tag, TagKind
from annotate.vocabulary_file import shipped_vocabulary
from app.review.adding_tags import copied
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
