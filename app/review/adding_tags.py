"""Add the rows of a tag file to a session, in one edit that can be undone."""

from __future__ import annotations

from collections.abc import Sequence

from annotate.case import ReviewSession
from annotate.clock import to_ms
from annotate.tagfile import TagRow, markup_of, rows_of
from store import Put, Store


def add_rows(store: Store, session: ReviewSession, rows: Sequence[TagRow], by: str) -> int:
    """Add the rows that are not there yet; return how many.

    Two rows are the same if all their cells are and their times agree to the millisecond, so
    reading a file twice adds nothing the second time.
    """
    there = {_cells(row) for row in rows_of(store.markup(session.id))}
    fresh = [row for row in rows if _cells(row) not in there]
    if fresh:
        nouns = markup_of(fresh, session.id)
        store.edit(session.id, "read tags", by, *(Put(noun) for noun in nouns))
    return len(fresh)


def _cells(row: TagRow) -> tuple[object, ...]:
    end_ms = None if row.end_us is None else to_ms(row.end_us)
    return (row.kind, row.code, to_ms(row.start_us), end_ms, row.leaning, row.weight, row.comment)
