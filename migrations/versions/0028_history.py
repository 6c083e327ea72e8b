"""A line of the log holds what was changed, field by field.

Why:  who changed a measured width, from what to what, and how to have it back, was known to nobody.
Up:   adds what a line belongs to, the values before and after, and what it takes back; older lines
      learn which room, place or production they are of, and stay without values.
Down: values before and after are lost; the lines themselves stay.
Both: columns are added and dropped one by one, so that SQLite rebuilds no table that others name.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0028"
down_revision = "0027"
branch_labels = None
depends_on = None

PARTS = {  # tables whose rows hang on a room, by what the log calls them
    "surface": "surface",
    "window": "window",
    "door": "door",
    "circuit": "circuit",
    "outlet": "outlet",
    "content": "content",
    "practical": "practical",
    "furniture": "furniture",
    "noisereading": "noise_reading",
    "lightreading": "light_reading",
    "recording": "recording",
}
CHANGE = sa.table(
    "change",
    sa.column("kind", sa.String),
    sa.column("record_id", sa.Integer),
    sa.column("about", sa.String),
)
FIRST = sa.text("part_of is null")


def upgrade() -> None:
    for column in (
        sa.Column("part_of", sa.Integer()),
        sa.Column("about", sa.String(30)),
        sa.Column("fields", sa.JSON()),
        sa.Column("added", sa.Boolean(), nullable=False, server_default=sa.false()),
        sa.Column("undoes", sa.Integer()),
    ):
        op.add_column("change", column)
    for kind in ("room", "location", "production"):
        of = sa.literal(f"{kind}.", sa.String) + sa.cast(CHANGE.c.record_id, sa.String)
        op.execute(sa.update(CHANGE).where(CHANGE.c.kind == kind).values(about=of))
    for kind, name in PARTS.items():
        part = sa.table(name, sa.column("id", sa.Integer), sa.column("room_id", sa.Integer))
        room = sa.select(sa.cast(part.c.room_id, sa.String)).where(part.c.id == CHANGE.c.record_id)
        of = sa.literal("room.", sa.String) + room.scalar_subquery()
        op.execute(sa.update(CHANGE).where(CHANGE.c.kind == kind).values(about=of))
    op.create_index("ix_change_first", "change", ["id"], sqlite_where=FIRST, postgresql_where=FIRST)
    op.create_index("ix_change_part_of", "change", ["part_of"])
    op.create_index("ix_change_undoes", "change", ["undoes"])
    op.create_index("ix_change_kind_record_id", "change", ["kind", "record_id"])
    op.create_index("ix_change_about_id", "change", ["about", "id"])
    op.create_index("ix_change_by_id", "change", ["by", "id"])


def downgrade() -> None:
    for name in ("by_id", "about_id", "kind_record_id", "undoes", "part_of", "first"):
        op.drop_index(f"ix_change_{name}", "change")
    for name in ("undoes", "added", "fields", "about", "part_of"):
        op.drop_column("change", name)
