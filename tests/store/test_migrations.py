from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from dataclasses import fields
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine
from store_scenes import (
    BY,
    KEPT_CASE,
    KEPT_CLIP,
    KEPT_ID_START,
    all_rows,
    one_of_each,
    tag,
    with_session,
)

from annotate.errors import UserFacingError
from annotate.marks import Mark, Setting
from annotate.markup import Row
from store import Put, open_store
from store.base import Base
from store.engine import read_address
from store.opening import MIGRATIONS, VERSION_TABLE, open_database

KEPT = Path(__file__).with_name("schemas")
FIRST, LAST = "0001_first_schema", "0003_review_desk"

NEXT_STEP = '''
"""A next step, for tests."""
import sqlalchemy as sa
from alembic import op

revision = "0004_next"
down_revision = "0003_review_desk"


def upgrade() -> None:
    with op.batch_alter_table("sessions") as table:
        table.add_column(sa.Column("room", sa.Text(), nullable=True))
        table.drop_constraint("ck_sessions_status", type_="check")
    {after}
'''


def migrations_with_next(folder: Path, after: str = "pass") -> Path:
    """Copy of the real steps with one more, which copies a parent table and then does `after`."""
    steps = folder / "steps"
    shutil.copytree(MIGRATIONS, steps, ignore=shutil.ignore_patterns("__pycache__"))
    (steps / "versions" / "0004_next.py").write_text(NEXT_STEP.format(after=after))
    return steps


def schema(file: Path) -> dict[str, list[str]]:
    """Statement of each table and index, its lines sorted: order of constraints means nothing."""
    with closing(sqlite3.connect(file)) as raw:
        found = raw.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
    return {
        name: sorted(line.strip().rstrip(",").replace('"', "") for line in sql.splitlines())
        for name, sql in found
        if name != VERSION_TABLE
    }


def test_upgrading_from_nothing_makes_what_the_models_say(tmp_path: Path) -> None:
    with open_store(tmp_path / "migrated.sqlite") as store:
        engine = store._database.engine
        with engine.connect() as connection:
            options = {
                "version_table": VERSION_TABLE,
                "compare_type": True,
                "include_name": lambda name, *_: not str(name).startswith("search_words"),
            }
            context = MigrationContext.configure(connection, opts=options)
            assert compare_metadata(context, Base.metadata) == []
    made = create_engine(f"sqlite:///{tmp_path / 'made.sqlite'}")
    Base.metadata.create_all(made)
    made.dispose()
    assert schema(tmp_path / "migrated.sqlite") == schema(tmp_path / "made.sqlite")
    assert len(Base.metadata.tables) == 22


def test_the_comparison_sees_a_missing_column_and_a_missing_check(tmp_path: Path) -> None:
    steps = migrations_with_next(tmp_path)
    open_database(read_address(tmp_path / "next.sqlite"), 5, steps).close()
    made = create_engine(f"sqlite:///{tmp_path / 'made.sqlite'}")
    Base.metadata.create_all(made)
    made.dispose()
    next_schema, models = schema(tmp_path / "next.sqlite"), schema(tmp_path / "made.sqlite")
    differing = {name for name in models if models[name] != next_schema.get(name)}
    assert differing == {"sessions"}


def test_there_is_one_head_and_revisions_are_numbered() -> None:
    script = ScriptDirectory(str(MIGRATIONS))
    assert len(script.get_heads()) == 1
    assert [s.revision for s in script.walk_revisions()][-1] == FIRST


def test_revisions_import_no_models() -> None:
    for file in (MIGRATIONS / "versions").glob("0*.py"):
        text = file.read_text()
        assert "import store" not in text
        assert "from store" not in text


def test_a_newer_store_is_refused_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "desk.sqlite"
    open_database(read_address(file), 5, migrations_with_next(tmp_path)).close()
    before = file.read_bytes()
    with pytest.raises(UserFacingError) as told:
        open_store(file)
    assert told.value.what == ("The store desk.sqlite was made by a newer version of this program.")
    assert file.read_bytes() == before


def test_a_migration_of_a_parent_table_keeps_its_children(tmp_path: Path) -> None:
    file = tmp_path / "desk.sqlite"
    with open_store(file) as store:
        taken, session = with_session(store)
        entered = one_of_each(session.id, taken.clips[0].id)
        store.edit(session.id, "add", BY, *map(Put, entered))
    open_database(read_address(file), 5, migrations_with_next(tmp_path)).close()
    with closing(sqlite3.connect(file)) as raw:
        assert raw.execute("SELECT room FROM sessions").fetchall() == [(None,)]
        for table in ("tags", "comments", "marks", "calibrations", "measurements", "edits"):
            assert raw.execute(f"SELECT count(*) FROM {table}").fetchone() == (1,), table


def test_a_copy_is_made_before_a_migration_and_opens(tmp_path: Path) -> None:
    file = tmp_path / "desk.sqlite"
    with open_store(file) as store:
        _, session = with_session(store)
        row = tag(session.id)
        store.edit(session.id, "add", BY, Put(row))
    open_database(read_address(file), 5, migrations_with_next(tmp_path)).close()
    copy = tmp_path / f"desk.sqlite.before-{LAST}"
    with open_store(copy) as store:
        assert store.markup(session.id).tags == (row,)
    assert not list(tmp_path.glob("*.part"))


def test_a_new_store_is_not_copied_before_its_first_migration(tmp_path: Path) -> None:
    open_store(tmp_path / "desk.sqlite").close()
    assert [f.name for f in tmp_path.iterdir()] == ["desk.sqlite"]


def test_a_migration_that_fails_changes_nothing(tmp_path: Path) -> None:
    file = tmp_path / "desk.sqlite"
    open_store(file).close()
    before = schema(file)
    steps = migrations_with_next(tmp_path, after="raise KeyError('half way')")
    with pytest.raises(KeyError):
        open_database(read_address(file), 5, steps)
    assert schema(file) == before
    with open_store(file) as store:
        assert store.check() == ()


def test_a_migration_that_breaks_references_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "desk.sqlite"
    with open_store(file) as store:
        with_session(store)
    before = schema(file)
    steps = migrations_with_next(tmp_path, after="op.execute('DELETE FROM cases')")
    with pytest.raises(UserFacingError, match="could not be brought up to date: A row of"):
        open_database(read_address(file), 5, steps)
    assert schema(file) == before
    with open_store(file) as store:
        assert store.case("C-1").code == "C-1"


def as_kept_in(schema_number: str, row: Row) -> Row:
    """A row without what came after that schema."""
    later = {
        Mark: ("look", "is_fading", "is_following", "anchors"),
        Setting: ("torsional_percent", "bottle_cm", "pressure_mmhg", "energy_s", "machine"),
    }.get(type(row), ())
    if schema_number >= "0003" or not later:
        return row
    values = {f.name: getattr(row, f.name) for f in fields(row) if f.name not in later}
    return type(row)(**values)


@pytest.mark.parametrize("kept", sorted(KEPT.glob("*.sqlite")), ids=lambda file: file.stem)
def test_a_store_of_every_released_schema_opens_with_all_that_it_holds(
    kept: Path, tmp_path: Path
) -> None:
    """The files were made by `python tests/helpers/store_scenes.py FILE` at that schema."""
    file = Path(shutil.copy(kept, tmp_path / "desk.sqlite"))
    with open_store(file) as store:
        (row,) = store.cases()
        assert (row.case.id, row.case.code, row.status) == (KEPT_CASE, "C-1", "draft")
        assert row.case.clips[0].id == KEPT_CLIP
        session = store.find_session(KEPT_CASE)
        expected = [
            as_kept_in(kept.stem, row) for row in one_of_each(session.id, KEPT_CLIP, KEPT_ID_START)
        ]
        assert all_rows(store, session.id) == {r.id: r for r in expected}
        assert store.redo_kind(session.id) == "add a mistake"
        undone = store.undo(session.id, BY)
        assert undone is not None
        assert undone.kind == "add two"
        assert len(all_rows(store, session.id)) == 5
        assert store.derived("clip-index", "print", "1") == b"\x00index"
        assert store.check() == ()


def test_every_released_schema_has_its_kept_store() -> None:
    released = {file.stem[:4] for file in (MIGRATIONS / "versions").glob("0*.py")}
    assert {file.stem for file in KEPT.glob("*.sqlite")} == released
