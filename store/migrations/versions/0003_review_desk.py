"""The review desk: looks and anchors of marks, more machine values, editions of a review.

Revision 0003_review_desk, after 0002_parts.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003_review_desk"
down_revision = "0002_parts"
branch_labels = None
depends_on = None

ID, TEXT, NUMBER = sa.String(36), sa.Text(), sa.BigInteger()
MOMENT = sa.DateTime(timezone=True)
_KINDS = "kind IN ('arrow', 'ring', 'line', 'freehand', 'text', 'spotlight')"
_LOOKS = "look IN ('chalk', 'amber', 'sky', 'rose')"


_WRITTEN = ("comments", "tags", "marks")
_NUMBER = "INSERT INTO search_rows (row_id, table_name) SELECT id, "
_NUMBER_ROWS = {
    "comments": _NUMBER + "'comments' FROM comments ORDER BY id",
    "tags": _NUMBER + "'tags' FROM tags ORDER BY id",
    "marks": _NUMBER + "'marks' FROM marks WHERE text <> '' ORDER BY id",
}
_FROM = "INSERT INTO search_words (rowid, words, code) SELECT r.id, "
_FILL = {
    "comments": _FROM
    + "t.text, t.phase FROM search_rows AS r JOIN comments AS t ON t.id = r.row_id",
    "tags": _FROM + "t.comment, t.code FROM search_rows AS r JOIN tags AS t ON t.id = r.row_id",
    "marks": _FROM + "t.text, '' FROM search_rows AS r JOIN marks AS t ON t.id = r.row_id",
}


def _text(name: str, default: str) -> sa.Column[str]:
    return sa.Column(name, TEXT, nullable=False, server_default=default)


def _switch(name: str) -> sa.Column[bool]:
    return sa.Column(name, sa.Boolean(), nullable=False, server_default=sa.false())


def upgrade() -> None:
    with op.batch_alter_table("marks", recreate="auto") as marks:
        marks.drop_constraint("ck_marks_kind", type_="check")
        marks.create_check_constraint(op.f("ck_marks_kind"), _KINDS)
        marks.add_column(sa.Column("look", sa.String(16), nullable=False, server_default="chalk"))
        marks.add_column(_switch("is_fading"))
        marks.add_column(_switch("is_following"))
        marks.add_column(_text("anchors", "[]"))
        marks.create_check_constraint(op.f("ck_marks_look"), _LOOKS)
    with op.batch_alter_table("settings", recreate="always") as settings:
        for name in ("torsional_percent", "bottle_cm", "pressure_mmhg", "energy_s"):
            settings.add_column(sa.Column(name, sa.Double(), nullable=True))
        settings.add_column(_text("machine", ""))
    with op.batch_alter_table("sessions", recreate="auto") as sessions:
        sessions.add_column(sa.Column("edition", NUMBER, nullable=False, server_default="1"))
        sessions.add_column(sa.Column("follows_id", ID, nullable=True))
        sessions.add_column(_text("content_hash", ""))
        sessions.add_column(_switch("is_veiled"))
        sessions.add_column(_text("vocabulary_hash", ""))
        sessions.create_foreign_key(
            op.f("fk_sessions_follows_id_sessions"), "sessions", ["follows_id"], ["id"]
        )
    op.create_index("ix_sessions_follows_id", "sessions", ["follows_id"])
    op.create_table(
        "watched",
        sa.Column("id", ID, nullable=False),
        sa.Column("session_id", ID, nullable=False),
        sa.Column("start_us", NUMBER, nullable=False),
        sa.Column("end_us", NUMBER, nullable=False),
        sa.Column("speed", sa.Double(), nullable=False),
        sa.Column("watched_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_watched"),
        sa.CheckConstraint("start_us >= 0", name=op.f("ck_watched_start")),
        sa.CheckConstraint("end_us > start_us", name=op.f("ck_watched_span")),
        sa.CheckConstraint("speed > 0", name=op.f("ck_watched_speed")),
        sa.ForeignKeyConstraint(
            ["session_id"],
            ["sessions.id"],
            name="fk_watched_session_id_sessions",
            ondelete="CASCADE",
        ),
    )
    op.create_index("ix_watched_session_id", "watched", ["session_id"])
    op.create_table(
        "vocabularies",
        sa.Column("content_hash", sa.String(64), nullable=False),
        sa.Column("name", TEXT, nullable=False),
        sa.Column("edition", TEXT, nullable=False),
        sa.Column("text", TEXT, nullable=False),
        sa.Column("kept_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("content_hash", name="pk_vocabularies"),
    )
    op.create_index("ix_vocabularies_name", "vocabularies", ["name"])
    op.create_table(
        "search_rows",
        sa.Column(
            "id",
            NUMBER.with_variant(sa.Integer(), "sqlite"),
            nullable=False,
            autoincrement=True,
        ),
        sa.Column("row_id", ID, nullable=False),
        sa.Column("table_name", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_search_rows"),
        sa.UniqueConstraint("row_id", name="uq_search_rows_row_id"),
    )
    if op.get_bind().dialect.name == "sqlite":
        _fill_index()


def _fill_index() -> None:
    op.execute(
        "CREATE VIRTUAL TABLE search_words USING fts5("
        "words, code, tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3')"
    )
    for table in _WRITTEN:
        op.execute(_NUMBER_ROWS[table])
        op.execute(_FILL[table])
