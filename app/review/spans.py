"""Spans that yield to each other: phases never overlap by accident.

Pure functions over a session's tags; each returns the changes that one edit has to make.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from annotate.ids import RowId, SessionId, new_id
from annotate.tags import Tag, TagKind
from store import Drop, Put

Change = Put | Drop


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
    Hand-overs, idle reasons and phases each yield only to their own kind.
    """
    changes: list[Change] = [Put(shaped)]
    if shaped.end_us is None:
        return changes
    for tag in tags:
        if tag.id == shaped.id or tag.kind is not shaped.kind or tag.end_us is None:
            continue
        if tag.end_us <= shaped.start_us or tag.start_us >= shaped.end_us:
            continue
        if tag.start_us < shaped.start_us:
            changes.append(Put(replace(tag, end_us=shaped.start_us)))
        elif tag.end_us > shaped.end_us:
            changes.append(Put(replace(tag, start_us=shaped.end_us)))
        else:
            changes.append(Drop(Tag, tag.id))
    return changes


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
