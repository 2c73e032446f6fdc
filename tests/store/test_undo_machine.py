"""Random edits, undos, redos and restarts against a plain dict."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule
from new_stores import new_store
from store_scenes import BY, all_rows, one_of_each, rows, with_session

from annotate.errors import UserFacingError
from annotate.markup import Row
from store import Drop, Put, open_store


class Desk(RuleBasedStateMachine):
    """The store beside a dict of rows and two lists of whole states."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.file = Path(self.folder.name) / "desk.sqlite"
        self.store = new_store(self.file)
        self.case, self.session = with_session(self.store)
        self.now: dict[str, Row] = {}
        self.undoable: list[tuple[str, dict[str, Row]]] = []
        self.redoable: list[tuple[str, dict[str, Row]]] = []
        self.n_steps = 0

    def step(self, kind: str, *changes: Put | Drop) -> None:
        after = dict(self.now)
        for change in changes:
            if isinstance(change, Put):
                after[change.row.id] = change.row
            else:
                del after[change.id]
        told = self.store.edit(self.session.id, kind, BY, *changes)
        if after == self.now:
            assert told.edit_id == ""
            return
        assert {*told.put, *told.dropped} <= {*after, *self.now}
        self.undoable.append((kind, self.now))
        self.redoable.clear()
        self.now = after
        self.n_steps += 1

    @rule(data=st.data(), kind=st.sampled_from(["add", "key"]))
    def add(self, data: st.DataObject, kind: str) -> None:
        self.step(kind, Put(data.draw(rows(self.session.id, self.case.clips[0].id))))

    @rule()
    def add_several_that_refer_to_each_other(self) -> None:
        self.step("paste", *map(Put, one_of_each(self.session.id, self.case.clips[0].id)))

    @precondition(lambda self: self.now)
    @rule(data=st.data())
    def change(self, data: st.DataObject) -> None:
        old = self.now[data.draw(st.sampled_from(sorted(self.now)))]
        other = data.draw(
            rows(self.session.id, self.case.clips[0].id).filter(lambda row: type(row) is type(old))
        )
        self.step("change", Put(replace(other, id=old.id)))

    @precondition(lambda self: self.now)
    @rule(data=st.data(), is_put_back=st.booleans())
    def drop(self, data: st.DataObject, is_put_back: bool) -> None:
        old = self.now[data.draw(st.sampled_from(sorted(self.now)))]
        users = {
            getattr(r, "mark_id", None) or getattr(r, "calibration_id", None)
            for r in self.now.values()
        }
        drop = Drop(type(old), old.id)
        if is_put_back:
            self.step("drop and put back", drop, Put(old))
        elif old.id in users:
            with pytest.raises(UserFacingError, match="belongs to this"):
                self.store.edit(self.session.id, "drop", BY, drop)
        else:
            self.step("drop", drop)

    @rule()
    def undo(self) -> None:
        told = self.store.undo(self.session.id, BY)
        assert (told is None) == (not self.undoable)
        if told is not None:
            kind, before = self.undoable.pop()
            assert told.kind == kind
            self.redoable.append((kind, self.now))
            self.now = before
            self.n_steps += 1

    @rule()
    def redo(self) -> None:
        told = self.store.redo(self.session.id, BY)
        assert (told is None) == (not self.redoable)
        if told is not None:
            kind, after = self.redoable.pop()
            self.undoable.append((kind, self.now))
            self.now = after
            self.n_steps += 1

    @precondition(lambda self: self.undoable)
    @rule()
    def undo_all_and_redo_all(self) -> None:
        n = len(self.undoable)
        before = all_rows(self.store, self.session.id)
        for _ in range(n):
            assert self.store.undo(self.session.id, BY) is not None
        assert all_rows(self.store, self.session.id) == {}
        for _ in range(n):
            assert self.store.redo(self.session.id, BY) is not None
        assert all_rows(self.store, self.session.id) == before
        self.n_steps += 2 * n

    @rule()
    def reopen(self) -> None:
        self.store.close()
        self.store = open_store(self.file)

    @invariant()
    def store_says_what_the_dict_says(self) -> None:
        assert all_rows(self.store, self.session.id) == self.now
        undo, redo = self.undoable[-1:], self.redoable[-1:]
        assert self.store.undo_kind(self.session.id) == (undo[0][0] if undo else None)
        assert self.store.redo_kind(self.session.id) == (redo[0][0] if redo else None)
        assert len(self.store.history(self.session.id)) == self.n_steps

    def teardown(self) -> None:
        assert self.store.check() == ()
        self.store.close()
        self.folder.cleanup()


TestDesk = Desk.TestCase
TestDesk.settings = settings(
    max_examples=10,
    stateful_step_count=25,
    deadline=None,
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.filter_too_much,
        HealthCheck.data_too_large,
    ],
)


@pytest.mark.soak
class TestDeskForLong(Desk.TestCase):  # type: ignore[name-defined, misc]
    settings = settings(
        max_examples=100,
        stateful_step_count=60,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
