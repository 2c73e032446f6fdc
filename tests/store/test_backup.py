from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from store_scenes import BY, tag, with_session

from annotate.errors import UserFacingError
from store import Put, Store, open_store


def test_a_backup_made_while_the_store_is_open_is_whole(store: Store, tmp_path: Path) -> None:
    _, session = with_session(store)
    row = tag(session.id)
    store.edit(session.id, "add", BY, Put(row))
    target = tmp_path / "copies" / "copy.sqlite"
    store.backup_to(target)
    store.edit(session.id, "later", BY, Put(tag(session.id)))
    assert [f.name for f in target.parent.iterdir()] == ["copy.sqlite"]
    with open_store(target) as copy:
        assert copy.markup(session.id).tags == (row,)
        assert copy.check() == ()


def test_a_backup_sees_nothing_of_a_transaction_under_way(store: Store, tmp_path: Path) -> None:
    with_session(store)
    assert store.path is not None
    with closing(sqlite3.connect(store.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        other.execute("UPDATE cases SET code = 'half'")
        store.backup_to(tmp_path / "copy.sqlite")
        other.execute("ROLLBACK")
    with open_store(tmp_path / "copy.sqlite") as copy:
        assert copy.case("C-1").code == "C-1"


def test_a_backup_that_cannot_be_written_says_so_and_leaves_nothing(
    store: Store, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(UserFacingError, match=r"backup copy.sqlite cannot be written"):
        store.backup_to(tmp_path / "file" / "copy.sqlite")
    with pytest.raises(UserFacingError, match="cannot be written to"):
        store.backup_to(tmp_path)
    assert store.path is not None
    with pytest.raises(UserFacingError, match="cannot be written to"):
        store.backup_to(store.path)
    assert not list(tmp_path.rglob("*.part"))


def test_rolling_backups_keep_the_newest_and_touch_nothing_else(
    store: Store, tmp_path: Path
) -> None:
    folder = tmp_path / "copies"
    folder.mkdir()
    (folder / "scrubline-notes.txt").write_text("mine")
    made = [store.rolling_backup(folder, keep=3) for _ in range(5)]
    assert sorted(folder.glob("*.sqlite")) == made[2:]
    assert (folder / "scrubline-notes.txt").exists()
    with pytest.raises(ValueError, match="at least one"):
        store.rolling_backup(folder, keep=0)


def test_the_copy_just_made_is_kept_when_the_clock_was_set_back(
    store: Store, tmp_path: Path
) -> None:
    folder = tmp_path / "copies"
    folder.mkdir()
    (folder / "scrubline-29990101T000000000000Z.sqlite").write_bytes(b"")
    made = store.rolling_backup(folder, keep=1)
    assert made.exists()
