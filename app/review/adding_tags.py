"""Add the rows of a tag file to a session, in one edit that can be undone."""

from __future__ import annotations

from collections.abc import Sequence

from annotate.case import ReviewSession
from annotate.tagfile import TagRow, markup_of, rows_of
from annotate.tagfile.rows import span_ms
from store import Put, Store


def add_rows(store: Store, session: ReviewSession, rows: Sequence[TagRow], by: str) -> int:
    """Add the rows that are not there yet; return how many.

    Two rows are the same if a tag file would hold the same for both, so reading a file twice, or
    a file that this session was written to, adds nothing.
    """
    there = {_cells(row) for row in rows_of(store.markup(session.id))}
    fresh = [row for row in rows if _cells(row) not in there]
    if fresh:
        nouns = markup_of(fresh, session.id)
        store.edit(session.id, "read tags", by, *(Put(noun) for noun in nouns))
    return len(fresh)


def _cells(row: TagRow) -> tuple[object, ...]:
    return (row.kind, row.code, span_ms(row), row.leaning, row.weight, row.comment)
