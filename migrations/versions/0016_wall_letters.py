"""A wall's letter may be two: AA comes after Z.

Why:  a real room with a chimney breast, a bay and a few niches has more than 26 walls.
Up:   window.wall, door.wall, outlet.wall and room.facing_wall hold two letters; nothing is moved.
Down: windows and doors in walls after Z, those walls' surfaces and what hung on them are lost, and
    the plans of rooms with more than 26 walls; `scout export --all` first keeps them.
Both: PostgreSQL changes the columns in place. SQLite rebuilds window, door and outlet (batch); room,
    which other tables name, gets a new column in the old one's place.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None

TABLES = {"window": False, "door": False, "outlet": True}  # and whether its wall may be unknown
FACING = ("wall", "bearing_deg", "north", "accuracy_deg", "read_on")
room = sa.table(
    "room",
    sa.column("id", sa.Integer()),
    *(sa.column(f"facing_{name}") for name in FACING),
    sa.column("plan_m", sa.JSON(none_as_null=True)),
)
surface = sa.table("surface", sa.column("name", sa.String()))


def upgrade() -> None:
    _widths(1, 2)


def downgrade() -> None:
    bind = op.get_bind()
    for name in ("window", "door"):
        part = sa.table(name, sa.column("wall", sa.String()))
        bind.execute(sa.delete(part).where(sa.func.length(part.c.wall) > 1))
    outlet = sa.table("outlet", sa.column("wall", sa.String()))
    bind.execute(sa.update(outlet).where(sa.func.length(outlet.c.wall) > 1).values(wall=None))
    bind.execute(sa.delete(surface).where(sa.func.length(surface.c.name) == 2))
    bind.execute(
        sa.update(room)
        .where(sa.func.length(room.c.facing_wall) > 1)
        .values({f"facing_{name}": None for name in FACING})
    )
    plans = bind.execute(sa.select(room.c.id, room.c.plan_m)).all()
    large = [key for key, plan in plans if plan is not None and len(plan) > 26]
    bind.execute(sa.update(room).where(room.c.id.in_(large)).values(plan_m=None))
    _widths(2, 1)


def _widths(before: int, after: int) -> None:
    for name, unknown in TABLES.items():
        with op.batch_alter_table(name) as table:
            table.alter_column(
                "wall",
                existing_type=sa.String(before),
                type_=sa.String(after),
                existing_nullable=unknown,
            )
    if op.get_bind().dialect.name != "sqlite":
        op.alter_column(
            "room", "facing_wall", existing_type=sa.String(before), type_=sa.String(after)
        )
        return
    # A rebuilt room would take with it every row that names it.
    op.add_column("room", sa.Column("facing_letter", sa.String(after)))
    op.execute("update room set facing_letter = facing_wall")
    op.drop_column("room", "facing_wall")
    op.execute("alter table room rename column facing_letter to facing_wall")
