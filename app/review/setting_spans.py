"""Spans of machine values that yield to each other: one set of values holds at a moment.

Pure functions over a session's settings; each returns the changes that one edit has to make.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from annotate.ids import RowId, new_id
from annotate.marks import Setting
from app.review.spans import Change
from store import Drop, Put


def setting_at(settings: Sequence[Setting], time_us: int) -> Setting | None:
    """The values that hold at a moment; the latest begun of several."""
    found = [each for each in settings if each.start_us <= time_us < each.end_us]
    return max(found, key=lambda each: (each.start_us, each.id), default=None)


def setting_before(settings: Sequence[Setting], time_us: int) -> Setting | None:
    """The last values that were begun before a moment or at it."""
    found = [each for each in settings if each.start_us <= time_us]
    return max(found, key=lambda each: (each.start_us, each.id), default=None)


def opened_end_us(settings: Sequence[Setting], start_us: int, length_us: int) -> int:
    """Until when values run that are begun at a moment: to the next ones, or the case's end."""
    later = [each.start_us for each in settings if each.start_us > start_us]
    return max(min([*later, length_us]), start_us + 1)


def put_setting(settings: Sequence[Setting], shaped: Setting) -> list[Change]:
    """Put values over a span; those noted for the same moments before yield.

    Values that the span covers go; values that it cuts in two keep both parts, and the time for
    which ultrasound was on, where it was read off the machine, is shared between them by length.
    """
    changes: list[Change] = [Put(shaped)]
    for each in settings:
        if each.id == shaped.id or not _meet(each, shaped):
            continue
        is_before, is_after = each.start_us < shaped.start_us, each.end_us > shaped.end_us
        if is_before and is_after:
            changes += _cut_in_two(each, shaped.start_us, shaped.end_us)
        elif is_before:
            changes.append(Put(replace(each, end_us=shaped.start_us)))
        elif is_after:
            changes.append(Put(replace(each, start_us=shaped.end_us)))
        else:
            changes.append(Drop(Setting, each.id))
    return changes


def put_settings(
    settings: Sequence[Setting], shaped: Sequence[Setting], *, earlier_yields: bool = True
) -> list[Change]:
    """Put several spans of values with new edges at once; all others yield.

    Parameters
    ----------
    earlier_yields : bool
        Which of two shaped spans gives way where they meet: the earlier one, else the later.
    """
    changes: dict[RowId, Change] = {}
    own, was = {each.id for each in shaped}, {each.id for each in settings}
    held = {each.id: each for each in settings if each.id not in own}
    for each in sorted(shaped, key=lambda s: (s.start_us, s.end_us), reverse=not earlier_yields):
        for change in put_setting(tuple(held.values()), each):
            if isinstance(change, Drop):
                del held[change.id]
                changes[change.id] = change
                if change.id not in was:
                    del changes[change.id]  # a part that was cut off and is covered as well
            elif isinstance(change.row, Setting):
                held[change.row.id] = change.row
                changes[change.row.id] = change
    return list(changes.values())


def _meet(first: Setting, second: Setting) -> bool:
    return first.start_us < second.end_us and second.start_us < first.end_us


def _cut_in_two(each: Setting, until_us: int, from_us: int) -> list[Change]:
    before_us, after_us = until_us - each.start_us, each.end_us - from_us
    before_s = after_s = None
    if each.energy_s is not None:
        before_s = each.energy_s * before_us / (before_us + after_us)
        after_s = each.energy_s - before_s
    return [
        Put(replace(each, end_us=until_us, energy_s=before_s)),
        Put(replace(each, id=RowId(new_id()), start_us=from_us, energy_s=after_s)),
    ]
