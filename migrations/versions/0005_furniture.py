"""A room may carry its furniture, as blocks on the floor.

Why:  stands, tripod and light have to get round tables and shelves, and no kind of part said
    where these stand.
Up:   adds furniture, empty everywhere; nothing is moved.
Down: furniture entered since is lost; `scout export --all` first keeps it. Rooms said to have
    none forget that they were asked.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

INSTANT = sa.DateTime(timezone=True)
PLAIN = sa.JSON(none_as_null=True)


def upgrade() -> None:
    op.create_table(
        "furniture",
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
        sa.Column("at_m", PLAIN),
        sa.Column("width_m", sa.Double()),
        sa.Column("depth_m", sa.Double()),
        sa.Column("turn_deg", sa.Double()),
        sa.Column("height_m", sa.Double()),
        sa.Column("movable", sa.Boolean()),
        sa.CheckConstraint("width_m > 0", name="ck_furniture_width_positive"),
        sa.CheckConstraint("depth_m > 0", name="ck_furniture_depth_positive"),
        sa.CheckConstraint("height_m > 0", name="ck_furniture_height_positive"),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_furniture_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_furniture"),
    )
    op.create_index("ix_furniture_room_id", "furniture", ["room_id"], unique=False)


def downgrade() -> None:
    op.drop_index("ix_furniture_room_id", table_name="furniture")
    op.drop_table("furniture")
    # A kind that no longer exists must not stay among the kinds a room has none of.
    room = sa.table("room", sa.column("id", sa.Integer()), sa.column("none_of", PLAIN))
    connection = op.get_bind()
    for key, kinds in connection.execute(sa.select(room.c.id, room.c.none_of)).all():
        if kinds and "furniture" in kinds:
            left = [kind for kind in kinds if kind != "furniture"] or None
            connection.execute(room.update().where(room.c.id == key).values(none_of=left))
