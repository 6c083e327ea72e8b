"""A packet that was asked for is on record until it is printed.

Why:  what waits or is under way was known to one process alone and lost with it.
Up:   adds printing (a row a packet asked for); it begins empty.
Down: what waits is forgotten; packets that were printed stay.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "printing",
        sa.Column("key", sa.String(32), nullable=False),
        sa.Column("production_id", sa.Integer(), nullable=False),
        sa.Column("wanted", sa.JSON(), nullable=False),
        sa.Column("same", sa.String(64)),
        sa.Column("state", sa.String(12), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("done", sa.Integer(), nullable=False),
        sa.Column("of", sa.Integer(), nullable=False),
        sa.Column("packet_id", sa.Integer()),
        sa.Column("because", sa.Text()),
        sa.Column("warnings", sa.JSON(), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("asked_by", sa.String(300)),
        sa.Column("beat_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_printing"),
        sa.UniqueConstraint("same", name="uq_printing_same"),
        sa.ForeignKeyConstraint(
            ["production_id"],
            ["production.id"],
            name="fk_printing_production_id_production",
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["packet_id"],
            ["packet.id"],
            name="fk_printing_packet_id_packet",
            ondelete="SET NULL",
        ),
    )
    op.create_index("ix_printing_production_id", "printing", ["production_id"])
    op.create_index("ix_printing_state", "printing", ["state"])


def downgrade() -> None:
    op.drop_table("printing")
