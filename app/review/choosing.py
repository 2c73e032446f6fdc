"""Choosing more than one: the next one too, or all of a kind. No window."""

from __future__ import annotations

from collections.abc import Sequence

from annotate.ids import RowId
from annotate.markup import place_of
from annotate.tags import Comment, Tag
from app.review.presenter import ReviewPresenter


def choose_more(
    presenter: ReviewPresenter, direction: int, listed: Sequence[Tag | Comment] | None = None
) -> Tag | Comment | None:
    """Choose the next (1) or the last (-1) row as well; back over a chosen one lets it go.

    Parameters
    ----------
    listed : sequence of Tag or Comment, or None
        Rows to go through, in order of time; None for all.

    Returns
    -------
    Tag, Comment or None
        The one that was chosen last now, to go to; None where there is no further one.
    """
    lead = presenter.row(presenter.chosen)
    if lead is None:
        row = presenter.neighbour(direction)
        if row is not None:
            presenter.choose(row.id)
        return row
    rows = sorted(presenter.rows, key=place_of) if listed is None else listed
    if lead not in rows:
        return None
    place = rows.index(lead) + direction
    if not 0 <= place < len(rows):
        return None
    row = rows[place]
    chosen = set(presenter.chosen_ids)
    if row.id in chosen:
        chosen.discard(lead.id)
    presenter.choose(row.id, too=chosen)
    return row


def choose_all(presenter: ReviewPresenter, ids: tuple[RowId, ...] | None = None) -> int:
    """Choose all that is listed, else all of the kind that is chosen, else every row.

    Parameters
    ----------
    ids : tuple of RowId or None
        What a list shows; None where none is open.

    Returns
    -------
    int
        How many are chosen now.
    """
    lead = presenter.row(presenter.chosen)
    if ids is None:
        rows = [row for row in presenter.rows if lead is None or _kind(row) == _kind(lead)]
        ids = tuple(row.id for row in rows)
    if ids:
        first = lead.id if lead is not None and lead.id in ids else ids[0]
        presenter.choose(first, too=ids)
    return len(ids)


def _kind(row: Tag | Comment) -> str:
    return row.kind if isinstance(row, Tag) else "comment"
