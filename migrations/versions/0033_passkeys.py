"""Passkeys: a key on somebody's device in place of password and code.

Why:  a password can be told to the wrong page; a key answers to the right one alone.
Up:   adds passkey (a row a key: its public half, by whose name, when it was used); it begins empty.
Down: everybody logs in by password again.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0033"
down_revision = "0032"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "passkey",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(300), nullable=False),
        sa.Column("credential", sa.Text(), nullable=False),
        sa.Column("credential_sha256", sa.String(64), nullable=False),
        sa.Column("public_key", sa.Text(), nullable=False),
        sa.Column("count", sa.BigInteger(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True)),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name="fk_passkey_person_id_person", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_passkey"),
        sa.UniqueConstraint("credential_sha256", name="uq_passkey_credential_sha256"),
    )
    op.create_index("ix_passkey_person_id", "passkey", ["person_id"])


def downgrade() -> None:
    op.drop_table("passkey")
