"""Spans that come from a file find their room: what is there stands, and no two overlap. No Qt."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import TypeGuard

from annotate.tags import Comment, Tag, TagKind
from annotate.vocabulary import Vocabulary
from app.review.spans import EXCLUSIVE, parted, yields_to
from app.review.wording import row_words, tenths

Read = Tag | Comment
ROUNDING_US = 1000
"""Tag files may hold whole milliseconds: an overlap that is shorter came of the rounding."""


@dataclass(frozen=True, slots=True)
class Met:
    """A span of the file that met another one of its kind.

    Attributes
    ----------
    before, after : Tag, Tag or None
        As the file has it, and as it is kept: cut, whole, or None where it is left out.
    other : Tag
        What it lay over.
    is_own : bool
        Whether that was there before the file was read.
    """

    before: Tag
    after: Tag | None
    other: Tag
    is_own: bool = False


@dataclass(frozen=True, slots=True)
class Fitted:
    """Rows that have room, in the order in which they came, and those that met others."""

    rows: tuple[Read, ...]
    met: tuple[Met, ...]


def fitted_in(fresh: Sequence[Read], mine: Iterable[Tag], *, yields: bool = True) -> Fitted:
    """Fit rows among the tags that are there, which stand, and among themselves.

    A span that lies over one that is there is left out, so that reading the same file again adds
    nothing. Less than a millisecond is no overlap but the rounding of tag files, and is cut off
    without a word.

    Parameters
    ----------
    yields : bool
        Whether of two spans of the file that overlap the earlier one gives way, as on the desk;
        else both stay as the file has them, and figures report them as conflicts.
    """
    own = _Lined(tag for tag in mine if _is_span(tag) and tag.end_us is not None)
    spans: list[Tag] = []
    met: list[Met] = []
    for row in filter(_is_span, fresh):
        fitted, other = _beside(row, own)
        if fitted is not None:
            spans.append(fitted)
        elif other is not None:
            met.append(Met(row, None, other, is_own=True))
    kept = parted(spans, earlier_yields=True) if yields else spans
    met.extend(_given_way(spans, kept) if yields else _lying_over(spans))
    by_id = {tag.id: tag for tag in kept}
    rows = (by_id.get(row.id) if _is_span(row) else row for row in fresh)
    in_order = sorted(met, key=lambda each: each.before.start_us)
    return Fitted(tuple(row for row in rows if row is not None), tuple(in_order))


def met_words(each: Met, vocabulary: Vocabulary) -> str:
    """Say what became of a span: '..., ends at 0:15.0, where Cracking begins.'."""
    name = _named(each.before, vocabulary)
    other = _named(each.other, vocabulary)
    if each.after == each.before:
        return f"{name}, overlaps {other}; both stay, and figures report it as a conflict."
    if each.after is not None:
        begins = row_words(each.other, vocabulary)
        return f"{name}, ends at {tenths(each.after.end_us or 0)}, where {begins} begins."
    if each.is_own:
        return f"{name}, is left out: {other}, was there and stays."
    return f"{name}, is left out: {other}, of the same file covers it."


def counted(n: int) -> str:
    """How many rows."""
    return f"{n} row" + ("" if n == 1 else "s")


class _Lined:
    """Spans by kind and start, to be asked which lie over another one."""

    def __init__(self, spans: Iterable[Tag]) -> None:
        by_kind: dict[TagKind, list[Tag]] = {}
        for tag in sorted(spans, key=lambda t: t.start_us):
            by_kind.setdefault(tag.kind, []).append(tag)
        self._rows = {
            kind: (row, [t.start_us for t in row], [*accumulate((_end(t) for t in row), max)])
            for kind, row in by_kind.items()
        }

    def over(self, tag: Tag) -> Iterator[Tag]:
        """All others of the kind that share time with a span, the last first."""
        row, starts, latest = self._rows.get(tag.kind, ([], [], []))
        place = bisect_left(starts, _end(tag)) - 1
        while place >= 0 and latest[place] > tag.start_us:
            if row[place].id != tag.id and _end(row[place]) > tag.start_us:
                yield row[place]
            place -= 1


def _is_span(row: Read) -> TypeGuard[Tag]:
    return isinstance(row, Tag) and row.kind in EXCLUSIVE


def _beside(tag: Tag, own: _Lined) -> tuple[Tag | None, Tag | None]:
    """The span beside those that are there, or None and the one over which it lies."""
    fitted = tag
    for other in own.over(tag):
        beside = yields_to(fitted, other)
        if beside is None or _length(fitted) - _length(beside) >= ROUNDING_US:
            return None, other
        fitted = beside
    return fitted, None


def _given_way(spans: Sequence[Tag], kept: Sequence[Tag]) -> Iterator[Met]:
    """Spans that the others of the file have cut or covered."""
    by_id, lined = {tag.id: tag for tag in kept}, _Lined(kept)
    for tag in spans:
        after = by_id.get(tag.id)
        if after != tag:
            ends_us = tag.start_us if after is None else _end(after)
            other = min(lined.over(tag), key=lambda t: abs(t.start_us - ends_us))
            if after is None or _end(tag) - _end(after) >= ROUNDING_US:
                yield Met(tag, after, other)


def _lying_over(spans: Sequence[Tag]) -> Iterator[Met]:
    """Spans that overlap a later one of the file; each once."""
    lined = _Lined(spans)
    places = {tag.id: (tag.start_us, n) for n, tag in enumerate(spans)}
    for tag in spans:
        later = [t for t in lined.over(tag) if places[t.id] > places[tag.id]]
        if later and _shared_us(tag, later[-1]) >= ROUNDING_US:
            yield Met(tag, tag, later[-1])


def _shared_us(tag: Tag, other: Tag) -> int:
    return min(_end(tag), _end(other)) - max(tag.start_us, other.start_us)


def _length(tag: Tag) -> int:
    return _end(tag) - tag.start_us


def _end(tag: Tag) -> int:
    return tag.start_us if tag.end_us is None else tag.end_us


def _named(tag: Tag, vocabulary: Vocabulary) -> str:
    return f"{row_words(tag, vocabulary)}, {tenths(tag.start_us)} to {tenths(_end(tag))}"
