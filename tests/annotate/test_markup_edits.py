"""A markup after an edit is what the store would read."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from annotate.ids import RowId, SessionId, new_id
from annotate.markup import Markup, Row, place_of
from annotate.tags import Comment, Tag, TagKind

SESSION = SessionId(new_id())
IDS = [RowId(new_id()) for _ in range(8)]

ROWS: st.SearchStrategy[Row] = st.builds(
    lambda place, start: (
        Tag(IDS[place], SESSION, TagKind.EVENT, "x", start)
        if place % 2
        else Comment(IDS[place], SESSION, "words", start)
    ),
    st.integers(0, 7),
    st.integers(0, 20),
)


@given(st.lists(st.tuples(st.lists(ROWS, max_size=3), st.sets(st.sampled_from(IDS), max_size=2))))
def test_rows_are_put_in_their_places(edits: list[tuple[list[Row], set[RowId]]]) -> None:
    kept: dict[RowId, Row] = {}
    markup = Markup()
    for rows, dropped in edits:
        put = list({row.id: row for row in rows if row.id not in dropped}.values())
        markup = markup.with_rows(put, dropped)
        kept = {i: r for i, r in kept.items() if i not in dropped} | {r.id: r for r in put}
    everything = sorted(kept.values(), key=place_of)
    assert list(markup.tags) == [row for row in everything if isinstance(row, Tag)]
    assert list(markup.comments) == [row for row in everything if isinstance(row, Comment)]


def test_what_is_not_touched_is_the_same_tuple() -> None:
    tags = (Tag(IDS[1], SESSION, TagKind.EVENT, "x", 1),)
    markup = Markup(tags=tags)
    after = markup.with_rows([Comment(IDS[0], SESSION, "words", 0)], [])
    assert after.tags is tags
    assert markup.with_rows([], []) is markup
