"""Read the table of actions; everything that names an action takes it from here."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True, slots=True)
class Action:
    """One thing a user can do.

    Attributes
    ----------
    key : str
        In Qt's portable notation; empty where it has none.
    screen : str
        ``any``, ``caseload`` or ``review``.
    submenu : str
        Of its menu, where it stands in one; this stands where the first of its actions does.
    begins_group : bool
        Whether a line stands above it; above the submenu where it is the first of one.
    """

    id: str
    label: str
    menu: str
    screen: str
    help: str
    key: str = ""
    submenu: str = ""
    begins_group: bool = False


@cache
def actions() -> tuple[Action, ...]:
    """Every action, in menu order.

    Raises
    ------
    ValueError
        If two actions share an id, or a key on the same screen.
    """
    table = tuple(Action(**row) for row in _table()["action"])
    seen: dict[tuple[str, str], str] = {}
    for action in table:
        for slot in (("id", action.id), ("key", action.key)):
            if slot[1] and slot in seen:
                raise ValueError(f"{slot[0]} {slot[1]} is used by {seen[slot]} and {action.id}")
            seen[slot] = action.id
    return table


def action(action_id: str) -> Action:
    """The action of that id."""
    return next(entry for entry in actions() if entry.id == action_id)


def line_help(name: str) -> str:
    """Help of one command of the command line."""
    return str(next(row["help"] for row in _table()["line"] if row["name"] == name))


@cache
def _table() -> dict[str, list[dict[str, Any]]]:
    text = files("app.commands").joinpath("actions.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
