"""What a phone has sent is known by a name that the phone made.

Why:  a form sent where the signal breaks is sent again; without a name for it the room it adds
    would be there twice, or the person would not dare to send it.
Up:   adds sent (a row a form that was accepted); it begins empty.
Down: the names are lost; what was sent under them stays.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "sent",
        sa.Column("once", sa.String(36), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("there", sa.Text()),
        sa.PrimaryKeyConstraint("once", name="pk_sent"),
    )
    op.create_index("ix_sent_at", "sent", ["at"])


def downgrade() -> None:
    op.drop_table("sent")
