"""Codes of doors, gates and alarms.

Why:  they stood in notes and contacts, which lists, prints and copies of the database hold as they are.
Up:   adds gate_code: of a place, a label and what is sealed under a key that the database does not
      hold; it begins empty.
Down: the codes are gone.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0032"
down_revision = "0031"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "gate_code",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("location_id", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(300), nullable=False),
        sa.Column("sealed", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_by", sa.String(300)),
        sa.ForeignKeyConstraint(
            ["location_id"],
            ["location.id"],
            name="fk_gate_code_location_id_location",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_gate_code"),
    )
    op.create_index("ix_gate_code_location_id", "gate_code", ["location_id"])


def downgrade() -> None:
    op.drop_table("gate_code")
