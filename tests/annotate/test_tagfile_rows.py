from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st
from tag_rows import tag, tag_rows

from annotate.ids import RowId, SessionId
from annotate.markup import Markup
from annotate.tagfile import RowKind, TagRow, markup_of, rows_of
from annotate.tagfile.rows import clean_text, span_ms
from annotate.tags import Comment, Leaning, Tag

HERE = SessionId("here")


def test_rows_come_in_order_of_start_whatever_their_kind() -> None:
    comment = Comment(RowId("c"), HERE, "Look", 2_000_000, phase="sculpt")
    markup = Markup(
        tags=(tag("phase", "sculpt", 3, 9), tag("event", "good-move", 1)), comments=(comment,)
    )
    rows = rows_of(markup)
    assert [row.kind for row in rows] == [RowKind.EVENT, RowKind.COMMENT, RowKind.PHASE]
    assert rows[1] == TagRow(RowKind.COMMENT, "sculpt", 2_000_000, comment="Look")


@given(st.lists(tag_rows(), max_size=6))
def test_markup_and_rows_are_inverse(rows: list[TagRow]) -> None:
    entries = markup_of(rows, HERE)
    markup = Markup(
        tags=tuple(e for e in entries if isinstance(e, Tag)),
        comments=tuple(e for e in entries if isinstance(e, Comment)),
    )
    cleaned = [replace(row, comment=clean_text(row.comment)) for row in rows]
    assert sorted(map(repr, rows_of(markup))) == sorted(map(repr, cleaned))


def test_markup_gets_ids_of_its_own() -> None:
    row = TagRow(RowKind.EVENT, "good-move", 5, leaning=Leaning.COMMEND, weight=2)
    entries = markup_of([row, row], HERE)
    assert len({entry.id for entry in entries}) == 2
    assert {entry.session_id for entry in entries} == {HERE}


@given(tag_rows())
def test_written_times_are_off_by_less_than_a_millisecond(row: TagRow) -> None:
    start_ms, end_ms = span_ms(row)
    assert abs(start_ms * 1000 - row.start_us) < 1000
    if row.end_us is not None:
        assert end_ms is not None
        assert abs(end_ms * 1000 - row.end_us) < 1000
        assert end_ms > start_ms


def test_a_span_within_one_millisecond_remains_a_span() -> None:
    assert span_ms(TagRow(RowKind.PHASE, "sculpt", 1_000_600, 1_001_400)) == (1000, 1002)


def test_what_is_no_text_is_replaced() -> None:
    assert clean_text("a\r\nb\rc\x00d\ud800e\tf") == "a\nb\nc\ufffdd\ufffde\tf"
