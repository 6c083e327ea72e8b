"""Everything may be on its way to another place, and nobody saves where it has left.

Why:  a live installation can be copied elsewhere; a save behind its back would be lost.
Up:   adds move (at most a row: whose copy, and how far it is); it begins empty.
Down: the mark is lost: whoever saves where everything has left saves there again.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "move",
        sa.Column("key", sa.String(32), nullable=False),
        sa.Column("state", sa.String(12), nullable=False),
        sa.Column("place", sa.String(64), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_move"),
    )


def downgrade() -> None:
    op.drop_table("move")
