"""Add machine values from a file to a session, in one edit that can be undone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from annotate.ids import SessionId
from annotate.marks import Setting
from annotate.settingfile import settings_csv
from app.review.setting_spans import put_setting
from app.review.spans import Change
from store import Drop, Store


@dataclass(frozen=True, slots=True)
class Added:
    """What came of reading a file: spans that were new, that were there, and that gave way."""

    new: int
    already_there: int
    gave_way: int


def add_settings(store: Store, session_id: SessionId, fresh: Sequence[Setting], by: str) -> Added:
    """Add the spans that are not there yet.

    Two spans are the same if a file would hold the same for both, so reading a file twice adds
    nothing. Values noted before for the same moments yield, as they do on the desk.
    """
    there = store.markup(session_id).settings
    lines = {settings_csv([each]) for each in there}
    new = [each for each in fresh if settings_csv([each]) not in lines]
    held = {each.id: each for each in there}
    put: dict[str, Change] = {}
    for each in new:
        for change in put_setting(tuple(held.values()), each):
            if isinstance(change, Drop):
                held.pop(change.id, None)
                put[change.id] = change
            elif isinstance(change.row, Setting):
                held[change.row.id] = change.row
                put[change.row.id] = change
    if put:
        store.edit(session_id, "read machine values", by, *put.values())
    kept = {each.id for each in there} & set(put)
    return Added(len(new), len(fresh) - len(new), len(kept))


def added_words(added: Added) -> str:
    """Say what came of reading a file."""
    said = f"{spans_words(added.new)} new"
    if added.already_there:
        said += f", {added.already_there} there already"
    if added.gave_way:
        said += f"; {spans_words(added.gave_way)} noted before gave way"
    return f"{said}."


def spans_words(number: int) -> str:
    """Say how many spans."""
    return f"{number} span" if number == 1 else f"{number} spans"
