"""Light that was read at a mark, to set beside what is predicted.

Why:  a reading where the light will be needed is worth more than any reflectance by eye.
Up:   adds light_reading, empty everywhere; nothing is moved.
Down: readings entered since are lost; `scout export --all` first keeps them.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

INSTANT = sa.DateTime(timezone=True)


def upgrade() -> None:
    op.create_table(
        "light_reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", INSTANT, nullable=False),
        sa.Column("created_by", sa.String(length=300)),
        sa.Column("changed_at", INSTANT, nullable=False),
        sa.Column("changed_by", sa.String(length=300)),
        sa.Column("binned_at", INSTANT),
        sa.Column("binned_by", sa.String(length=300)),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(length=40), nullable=False),
        sa.Column("mark", sa.String(length=20)),
        sa.Column("plane", sa.String(length=20)),
        sa.Column("sky", sa.String(length=20)),
        sa.Column("taken_at", sa.String(length=40)),
        sa.Column("lux", sa.Double()),
        sa.Column("doubt_stops", sa.Double()),
        sa.Column("how", sa.String(length=20)),
        sa.Column("counts", sa.Boolean()),
        sa.CheckConstraint("lux > 0", name="ck_light_reading_lux_positive"),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_light_reading_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_light_reading"),
    )
    op.create_index("ix_light_reading_room_id", "light_reading", ["room_id"], unique=False)


def downgrade() -> None:
    op.drop_index("ix_light_reading_room_id", table_name="light_reading")
    op.drop_table("light_reading")
