"""Parts of a recording that are moved: what lies before each, what was done, torn rows.

Revision 0002_parts, after 0001_first_schema.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002_parts"
down_revision = "0001_first_schema"
branch_labels = None
depends_on = None

ID, TEXT, NUMBER = sa.String(36), sa.Text(), sa.BigInteger()
MOMENT = sa.DateTime(timezone=True)


def upgrade() -> None:
    with op.batch_alter_table("clips", recreate="always") as clips:
        clips.add_column(sa.Column("lead_us", NUMBER, nullable=False, server_default="0"))
    op.create_table(
        "case_edits",
        sa.Column("id", ID, nullable=False),
        sa.Column("case_id", ID, nullable=False),
        sa.Column("position", NUMBER, nullable=False),
        sa.Column("kind", TEXT, nullable=False),
        sa.Column("made_by", TEXT, nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("before_json", TEXT, nullable=False),
        sa.Column("after_json", TEXT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_case_edits"),
        sa.UniqueConstraint("case_id", "position", name="uq_case_edits_case_id_position"),
        sa.ForeignKeyConstraint(
            ["case_id"], ["cases.id"], name="fk_case_edits_case_id_cases", ondelete="CASCADE"
        ),
    )
    op.create_table(
        "row_pieces",
        sa.Column("row_id", ID, nullable=False),
        sa.Column("session_id", ID, nullable=False),
        sa.Column("origin_id", ID, nullable=False),
        sa.PrimaryKeyConstraint("row_id", name="pk_row_pieces"),
        sa.ForeignKeyConstraint(
            ["session_id"],
            ["sessions.id"],
            name="fk_row_pieces_session_id_sessions",
            ondelete="CASCADE",
        ),
    )
    op.create_index("ix_row_pieces_session_id", "row_pieces", ["session_id"])
