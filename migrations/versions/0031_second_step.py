"""A second step at log-in: a code from a phone.

Why:  whoever learned a password was in.
Up:   adds second_step (a row a person who begins or uses it: the secret of their phone's codes, and
      the last one used) and recovery_code (hashes of codes for a lost phone); both begin empty.
Down: nobody is asked for a code any more.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0031"
down_revision = "0030"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "second_step",
        sa.Column("person_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("secret", sa.String(64), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True)),
        sa.Column("last_used", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name="fk_second_step_person_id_person", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person_id", name="pk_second_step"),
    )
    op.create_table(
        "recovery_code",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("code_sha256", sa.String(64), nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"],
            ["person.id"],
            name="fk_recovery_code_person_id_person",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_recovery_code"),
    )
    op.create_index("ix_recovery_code_person_id", "recovery_code", ["person_id"])


def downgrade() -> None:
    op.drop_table("recovery_code")
    op.drop_table("second_step")
