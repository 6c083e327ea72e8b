"""A program may ask in a person's name by a token of its own.

Why:  the JSON API needs a key that is no password, shows who used it last, and can be taken back.
Up:   adds token (a row a token, of which only the hash is kept); it begins empty.
Down: tokens are lost, and whatever asked by them is refused; `scout export` never held them.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "token",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(300), nullable=False),
        sa.Column("token_sha256", sa.String(64), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True)),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name="fk_token_person_id_person", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_token"),
        sa.UniqueConstraint("token_sha256", name="uq_token_token_sha256"),
    )
    op.create_index("ix_token_person_id", "token", ["person_id"])


def downgrade() -> None:
    op.drop_table("token")
