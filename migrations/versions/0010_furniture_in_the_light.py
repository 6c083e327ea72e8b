"""Furniture meets the light, and what stands before the windows has a size.

Why:  a table, a sofa and a bookcase take up to three quarters of the daylight at a mark: how light
    they are, and how far one sees under them, decides by how much. In a narrow street the same goes
    for its width and its facades.
Up:   adds furniture.clear_below_m, reflectance and colour, room.street and room.furnished, empty
    everywhere: pieces already there are solid and of unmeasured reflectance.
Down: what was entered of them is lost; `scout export --all` first keeps it.
Both: SQLite and PostgreSQL take the same statements, and neither rebuilds a table.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("furniture", sa.Column("clear_below_m", sa.Double()))
    op.add_column("furniture", sa.Column("reflectance", sa.Double()))
    op.add_column("furniture", sa.Column("colour", sa.JSON(none_as_null=True)))
    op.add_column("room", sa.Column("street", sa.JSON(none_as_null=True)))
    op.add_column("room", sa.Column("furnished", sa.String(10)))


def downgrade() -> None:
    op.drop_column("room", "furnished")
    op.drop_column("room", "street")
    op.drop_column("furniture", "colour")
    op.drop_column("furniture", "reflectance")
    op.drop_column("furniture", "clear_below_m")
