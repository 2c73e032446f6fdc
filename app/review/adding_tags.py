"""Add rows of a tag file, or tags of another review, to a session in one edit."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from annotate.case import ReviewSession
from annotate.ids import RowId, SessionId, new_id
from annotate.markup import Markup
from annotate.tagfile import TagRow, markup_of, rows_of
from annotate.tagfile.rows import span_ms
from annotate.tags import Comment, Tag
from annotate.vocabulary import Vocabulary
from app.review.fitting_in import Met, counted, fitted_in, met_words
from app.review.spans import EXCLUSIVE
from store import Put, Store


@dataclass(frozen=True, slots=True)
class ReadIn:
    """What came of reading a tag file.

    Attributes
    ----------
    n_added, n_there : int
        Rows that are kept now, and rows that the session had already.
    met : tuple of Met
        Spans of the file that lay over others of their kind.
    """

    n_added: int
    n_there: int = 0
    met: tuple[Met, ...] = ()

    @property
    def n_left_out(self) -> int:
        """Rows for which there was no room."""
        return sum(each.after is None for each in self.met)

    @property
    def words(self) -> str:
        """Say how many rows are kept, how many were there, and what became of overlaps."""
        verb = "is" if self.n_added == 1 else "are"
        told = f"{counted(self.n_added)} {verb} new and kept"
        if self.n_there:
            told += f", {self.n_there} there already"
        n_over = sum(each.after == each.before for each in self.met)
        counts = (
            (len(self.met) - self.n_left_out - n_over, "cut where the next begins"),
            (self.n_left_out, "left out for want of room"),
            (n_over, "overlapping another of the file"),
        )
        return "; ".join([told, *(f"{n} {what}" for n, what in counts if n)]) + "."

    def rows_told(self, vocabulary: Vocabulary) -> tuple[str, ...]:
        """A sentence for each row that lay over another."""
        return tuple(met_words(each, vocabulary) for each in self.met)


def add_rows(
    store: Store,
    session: ReviewSession,
    rows: Sequence[TagRow],
    by: str,
    *,
    yields: bool = True,
) -> ReadIn:
    """Add the rows that are not there yet, as one edit.

    Two rows are the same if a tag file would hold the same for both, so reading a file twice, or
    a file that this session was written to, adds nothing. Spans that are there stand: one of the
    file that lies over them is left out.

    Parameters
    ----------
    yields : bool
        Whether spans of the file that overlap each other yield as they do on the desk, where the
        earlier one ends as the later begins; else they stay as the file has them.
    """
    mine = store.markup(session.id)
    there = {_cells(row) for row in rows_of(mine)}
    fresh = markup_of([row for row in rows if _cells(row) not in there], session.id)
    fitted = fitted_in(fresh, mine.tags, yields=yields)
    if fitted.rows:
        words = f"{counted(len(fitted.rows))} read from a tag file"
        store.edit(session.id, words, by, *(Put(row) for row in fitted.rows))
    return ReadIn(len(fitted.rows), len(rows) - len(fresh), fitted.met)


def _cells(row: TagRow) -> tuple[object, ...]:
    return (row.kind, row.code, span_ms(row), row.leaning, row.weight, row.comment)


@dataclass(frozen=True, slots=True)
class Copied:
    """What of another review can be taken over, and what is left out and why.

    Attributes
    ----------
    rows : tuple of Tag or Comment
        With ids of their own, of this session.
    n_there : int
        Rows that this session has already.
    n_overlapping : int
        Spans that would lie over one that is there.
    n_unknown : int
        Tags whose code the case's vocabulary does not have.
    n_beyond : int
        Rows that begin where this case has ended, or end after it.
    """

    rows: tuple[Tag | Comment, ...]
    n_there: int = 0
    n_overlapping: int = 0
    n_unknown: int = 0
    n_beyond: int = 0

    @property
    def words(self) -> str:
        """Say what is left out, and why; empty if nothing is."""
        reasons = (
            (self.n_there, "here already"),
            (self.n_overlapping, "over spans of your own"),
            (self.n_unknown, "not in this case's vocabulary"),
            (self.n_beyond, "beyond the end of this case"),
        )
        told = [f"{n} {why}" for n, why in reasons if n]
        return f"Left out: {', '.join(told)}." if told else ""


def copied(
    theirs: Markup,
    mine: Markup,
    session_id: SessionId,
    vocabulary: Vocabulary,
    length_us: int,
    kinds: Collection[str],
) -> Copied:
    """Tags of another review as a starting point for this one; frame for frame the same times.

    Parameters
    ----------
    kinds : collection of str
        Kinds of tags, and ``comment``.
    """
    known = {term.code for term in vocabulary.terms}
    there = {*map(_content, mine.tags), *map(_content, mine.comments)}
    rows: list[Tag | Comment] = []
    counts = {"n_there": 0, "n_overlapping": 0, "n_unknown": 0, "n_beyond": 0}
    spans = [tag for tag in mine.tags if tag.kind in EXCLUSIVE]
    for row in _of_kinds(theirs, kinds):
        is_span = isinstance(row, Tag) and row.kind in EXCLUSIVE
        if _content(row) in there:
            counts["n_there"] += 1
        elif (row.end_us or row.start_us) > length_us:
            counts["n_beyond"] += 1
        elif isinstance(row, Tag) and row.kind != "hand-over" and row.code not in known:
            counts["n_unknown"] += 1
        elif is_span and isinstance(row, Tag) and _overlaps(row, spans):
            counts["n_overlapping"] += 1
        else:
            fresh = replace(row, id=RowId(new_id()), session_id=session_id)
            if isinstance(fresh, Comment):
                fresh = replace(fresh, mark_id=None)
            elif is_span:
                spans.append(fresh)
            rows.append(fresh)
            there.add(_content(row))
    return Copied(tuple(rows), **counts)


def _of_kinds(markup: Markup, kinds: Collection[str]) -> Iterable[Tag | Comment]:
    yield from (tag for tag in markup.tags if tag.kind in kinds)
    if "comment" in kinds:
        yield from markup.comments


def _overlaps(tag: Tag, spans: Sequence[Tag]) -> bool:
    end_us = tag.end_us or 0
    return any(
        other.kind is tag.kind and other.start_us < end_us and tag.start_us < (other.end_us or 0)
        for other in spans
    )


def _content(row: Tag | Comment) -> tuple[object, ...]:
    """What makes two rows equal: all but ids."""
    words = (row.text, row.phase) if isinstance(row, Comment) else (row.kind, row.code, row.comment)
    return (type(row), row.start_us, row.end_us, row.leaning, row.weight, *words)
