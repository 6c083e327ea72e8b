"""Sessions and wrong tries live on the server.

Why:  a signed cookie outlives logging out, and a throttle in memory forgets at each restart and
    counts in each process anew.
Up:   adds login (a row a session) and wrong_try (a row a try that was not right); both begin empty,
    so that everybody logs in once more.
Down: sessions and tries are lost, which logs everybody out; `scout export` never held them.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "login",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("token_sha256", sa.String(64), nullable=False),
        sa.Column("begun_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("agent", sa.String(200)),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name="fk_login_person_id_person", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_login"),
        sa.UniqueConstraint("token_sha256", name="uq_login_token_sha256"),
    )
    op.create_index("ix_login_person_id", "login", ["person_id"])
    op.create_table(
        "wrong_try",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("of", sa.String(64), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_wrong_try"),
    )
    op.create_index("ix_wrong_try_of_at", "wrong_try", ["of", "at"])


def downgrade() -> None:
    op.drop_table("wrong_try")
    op.drop_table("login")
