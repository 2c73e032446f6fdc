"""One edit of the store beside a bare insert and commit by sqlite3 with the same switches."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from statistics import median, quantiles
from time import perf_counter

import pytest
from store_scenes import BY, tag, with_session

from store import Put, open_store

N = 400


def timed_ms(deed: Callable[[], object]) -> float:
    start = perf_counter()
    deed()
    return (perf_counter() - start) * 1000


@pytest.mark.bench
def test_latency_of_an_edit_beside_a_bare_commit(tmp_path: Path) -> None:
    with (
        open_store(tmp_path / "desk.sqlite") as store,
        closing(sqlite3.connect(tmp_path / "bare.sqlite", isolation_level=None)) as bare,
    ):
        bare.execute("PRAGMA journal_mode = WAL")
        bare.execute("PRAGMA synchronous = FULL")
        bare.execute("CREATE TABLE tags (id TEXT PRIMARY KEY, content TEXT)")
        _, session = with_session(store)

        def edit() -> None:
            store.edit(session.id, "add", BY, Put(tag(session.id)))

        def insert() -> None:
            made = tag(session.id)
            bare.execute("BEGIN IMMEDIATE")
            bare.execute("INSERT INTO tags VALUES (?, ?)", (made.id, repr(made)))
            bare.execute("COMMIT")

        for _ in range(50):
            edit()
            insert()
        pairs = [(timed_ms(edit), timed_ms(insert)) for _ in range(N)]  # in turn: same weather
    edits, inserts = ([pair[side] for pair in pairs] for side in (0, 1))
    p95 = quantiles(edits, n=20)[-1]
    ratio = median(edits) / median(inserts)
    print(
        f"\nedit: median {median(edits):.2f} ms, p95 {p95:.2f} ms; bare insert and commit: "
        f"median {median(inserts):.2f} ms; ratio {ratio:.1f}"
    )
    assert ratio < 20
