"""A desk that makes random edits and says of each first that it will, then that it is kept.

Run as a program it is the victim of the kill tests:
``python random_edits.py STORE SESSION_ID SEED N_EDITS``. Each line it prints is JSON:
``{"will": {...}}`` before an edit, ``{"kept": edit_id}`` after it.
"""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from annotate.ids import RowId, SessionId
from annotate.tags import Comment, Tag, TagKind
from store import Drop, Put, Store, open_store

Plan = dict[str, Any]


@dataclass
class PlainDesk:
    """What a session should hold: id -> [table, start, text], with whole states to undo to."""

    now: dict[str, list[Any]] = field(default_factory=dict)
    undoable: list[dict[str, list[Any]]] = field(default_factory=list)
    redoable: list[dict[str, list[Any]]] = field(default_factory=list)

    def do(self, plan: Plan) -> None:
        if plan["deed"] == "undo":
            self.redoable.append(self.now)
            self.now = self.undoable.pop()
        elif plan["deed"] == "redo":
            self.undoable.append(self.now)
            self.now = self.redoable.pop()
        else:
            self.undoable.append(self.now)
            self.redoable.clear()
            self.now = {**self.now, **plan["put"]}
            for row_id in plan["drop"]:
                del self.now[row_id]


def plans(rng: random.Random, desk: PlainDesk) -> Iterator[Plan]:
    """Random deeds, each possible in the state that `desk` is in when it is asked for."""
    while True:
        dice = rng.random()
        if dice < 0.15 and desk.undoable:
            yield {"deed": "undo"}
        elif dice < 0.22 and desk.redoable:
            yield {"deed": "redo"}
        else:
            put = {}
            for _ in range(rng.choice((1, 1, 1, 4))):
                table = rng.choice(("tags", "comments"))
                put[f"{rng.getrandbits(64):016x}"] = [table, rng.randrange(10**10), "x" * 40]
            known = sorted(desk.now)
            drop = rng.sample(known, 1) if known and dice > 0.8 else []
            if known and dice < 0.5 and (changed := rng.choice(known)) not in drop:
                put[changed] = [desk.now[changed][0], rng.randrange(10**10), "changed"]
            yield {"deed": "edit", "put": put, "drop": drop}


def carry_out(store: Store, session_id: SessionId, plan: Plan, desk: PlainDesk) -> str:
    """Do the deed in the store; returns the edit's id."""
    if plan["deed"] == "edit":
        puts = [Put(_row(session_id, row_id, *row)) for row_id, row in plan["put"].items()]
        drops = [
            Drop(Tag if desk.now[row_id][0] == "tags" else Comment, RowId(row_id))
            for row_id in plan["drop"]
        ]
        return store.edit(session_id, "random", "A-01", *puts, *drops).edit_id
    deed = store.undo if plan["deed"] == "undo" else store.redo
    changes = deed(session_id, "A-01")
    assert changes is not None
    return changes.edit_id


def content(store: Store, session_id: SessionId) -> dict[str, list[Any]]:
    """What the store holds, in the plain desk's form."""
    markup = store.markup(session_id)
    tags = {t.id: ["tags", t.start_us, t.comment] for t in markup.tags}
    return {**tags, **{c.id: ["comments", c.start_us, c.text] for c in markup.comments}}


def _row(session_id: SessionId, row_id: str, table: str, start_us: int, text: str) -> Tag | Comment:
    if table == "comments":
        return Comment(RowId(row_id), session_id, text, start_us)
    return Tag(
        RowId(row_id), session_id, TagKind.PHASE, "chop", start_us, start_us + 5, comment=text
    )


def main(file: str, session_id: SessionId, seed: int, n_edits: int) -> None:
    desk = PlainDesk()
    with open_store(file) as store:
        for _, plan in zip(range(n_edits), plans(random.Random(seed), desk), strict=False):
            sys.stdout.write(json.dumps({"will": plan}) + "\n")
            sys.stdout.flush()
            edit_id = carry_out(store, session_id, plan, desk)
            desk.do(plan)
            sys.stdout.write(json.dumps({"kept": edit_id}) + "\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1], SessionId(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]))
