"""Spans that yield to each other: phases never overlap by accident.

Pure functions over a session's tags; each returns the changes that one edit has to make.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Sequence
from dataclasses import replace

from annotate.ids import RowId, SessionId, new_id
from annotate.tags import Tag, TagKind
from store import Drop, Put

Change = Put | Drop
EXCLUSIVE = frozenset({TagKind.PHASE, TagKind.IDLE, TagKind.HAND_OVER})
"""Kinds of which one covers a moment at most; events may lie over each other."""


def opened_span(tags: Sequence[Tag], fresh: Tag, length_us: int) -> tuple[Tag, list[Change]]:
    """Start a span that runs on until the next of its kind, or the end of the case.

    Parameters
    ----------
    fresh : Tag
        The new tag; its end is set here.

    Returns
    -------
    Tag and list of changes
        The tag as it is kept, and what to change so that no two of its kind overlap.
    """
    alike = [tag for tag in tags if tag.kind is fresh.kind and tag.end_us is not None]
    later = [tag.start_us for tag in alike if tag.start_us > fresh.start_us]
    kept = replace(fresh, end_us=max(min([*later, length_us]), fresh.start_us + 1))
    changes: list[Change] = [Put(kept)]
    changes.extend(
        _cut_at(tag, fresh.start_us)
        for tag in alike
        if tag.start_us <= fresh.start_us < (tag.end_us or 0)
    )
    return kept, changes


def _cut_at(tag: Tag, at_us: int) -> Change:
    """End a span here; one that only starts here goes."""
    if tag.start_us >= at_us:
        return Drop(Tag, tag.id)
    return Put(replace(tag, end_us=at_us))


def reshaped_span(tags: Sequence[Tag], shaped: Tag) -> list[Change]:
    """Put a span with new edges; its neighbours of the same kind yield.

    A neighbour that the span now covers goes; one that it cuts in two keeps the part before.
    Hand-overs, idle reasons and phases each yield only to their own kind; events yield to nothing.
    """
    return [Put(shaped), *_yielding(tags, {shaped.id}, [shaped])]


def reshaped_spans(
    tags: Sequence[Tag], shaped: Sequence[Tag], *, earlier_yields: bool = True
) -> list[Change]:
    """Put several spans with new edges at once; all others of their kinds yield.

    Parameters
    ----------
    earlier_yields : bool
        Which of two shaped spans gives way where they meet: the earlier one, else the later.

    Returns
    -------
    list of changes
        Those that change something; one of the shaped spans that has no room left goes.
    """
    was = {tag.id: tag for tag in tags}
    settled = parted(shaped, earlier_yields=earlier_yields)
    left = {tag.id for tag in settled}
    changes: list[Change] = [Put(tag) for tag in settled if was.get(tag.id) != tag]
    changes.extend(Drop(Tag, t.id) for t in shaped if t.id not in left and t.id in was)
    return [*changes, *_yielding(tags, {tag.id for tag in shaped}, settled)]


def parted(shaped: Sequence[Tag], *, earlier_yields: bool) -> list[Tag]:
    """Spans without overlaps among themselves; of two that begin together the shorter is earlier.

    Parameters
    ----------
    earlier_yields : bool
        Which of two gives way where they meet; one that has no room left is not in the answer.
    """
    kept = [tag for tag in shaped if tag.kind not in EXCLUSIVE]
    for kind in EXCLUSIVE:
        row: list[Tag] = []
        alike = (tag for tag in shaped if tag.kind is kind)
        for tag in sorted(alike, key=lambda t: (t.start_us, t.end_us or 0)):
            if earlier_yields:
                while row and (row[-1].end_us or 0) > tag.start_us:
                    before = yields_to(row.pop(), tag)
                    row.extend([before] if before else [])
                row.append(tag)
            else:
                _put_where_free(row, tag)
        kept.extend(row)
    return kept


def _put_where_free(row: list[Tag], tag: Tag) -> None:
    """Put a span among others, which stand; they are in order and do not overlap."""
    first = len(row)
    while first and (row[first - 1].end_us or 0) > tag.start_us:
        first -= 1
    fitted = tag
    for other in row[first:]:
        left = yields_to(fitted, other)
        if left is None:
            return
        fitted = left
    place = bisect_right(row, fitted.start_us, key=lambda t: t.start_us)
    row.insert(place, fitted)


def _yielding(tags: Sequence[Tag], own: Collection[RowId], settled: Sequence[Tag]) -> list[Change]:
    """What all other spans do to make room for those that are settled."""
    changes: list[Change] = []
    for kind in EXCLUSIVE & {tag.kind for tag in settled}:
        rows = sorted((t for t in settled if t.kind is kind), key=lambda t: t.start_us)
        ends = [tag.end_us or 0 for tag in rows]
        for tag in tags:
            if tag.kind is not kind or tag.id in own:
                continue
            fitted: Tag | None = tag
            for place in range(bisect_right(ends, tag.start_us), len(rows)):
                if fitted is None or rows[place].start_us >= (fitted.end_us or 0):
                    break
                fitted = yields_to(fitted, rows[place])
            if fitted is None:
                changes.append(Drop(Tag, tag.id))
            elif fitted != tag:
                changes.append(Put(fitted))
    return changes


def yields_to(tag: Tag, span: Tag) -> Tag | None:
    """A span with room made for another; None where nothing of it is left."""
    end_us, tag_end_us = span.end_us or 0, tag.end_us or 0
    if tag_end_us <= span.start_us or tag.start_us >= end_us:
        return tag
    if tag.start_us < span.start_us:
        return replace(tag, end_us=span.start_us)
    return replace(tag, start_us=end_us) if tag_end_us > end_us else None


def yielded(
    tags: Sequence[Tag], changes: Sequence[Change], own: Collection[RowId]
) -> list[tuple[Tag, Tag | None]]:
    """Neighbours that an edit changes beside what it is about: as they were, as they will be."""
    after: dict[RowId, Tag | None] = {}
    for change in changes:
        if isinstance(change, Drop):
            after[change.id] = None
        elif isinstance(change.row, Tag):
            after[change.row.id] = change.row
    return [(t, after[t.id]) for t in tags if t.id in after and t.id not in own]


def span_at(tags: Sequence[Tag], kind: TagKind, time_us: int) -> Tag | None:
    """The span of that kind which covers a moment."""
    for tag in tags:
        if tag.kind is kind and tag.end_us is not None and tag.start_us <= time_us < tag.end_us:
            return tag
    return None


def fresh_tag(session_id: SessionId, kind: TagKind, code: str, start_us: int) -> Tag:
    """A tag that is not kept yet; spans get their end when they are opened."""
    end = None if kind is TagKind.EVENT else start_us + 1
    return Tag(RowId(new_id()), session_id, kind, code, start_us, end)
