"""A room may have a way in of its own, and a door may be an exit to keep free.

Why:  the steps of a place say nothing of a room two floors up, and a cable or a stand across an
    exit is a danger that the plan can avoid once it is told.
Up:   adds room.way_in and door.keep_free, empty everywhere: rooms go by their place's way in as
    before, and every door is a door.
Down: ways in and exits entered since are lost; `scout export --all` first keeps them.
Both: SQLite and PostgreSQL take the same statements, and neither rebuilds the table.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("room", sa.Column("way_in", sa.JSON(none_as_null=True)))
    op.add_column("door", sa.Column("keep_free", sa.Boolean()))


def downgrade() -> None:
    op.drop_column("door", "keep_free")
    op.drop_column("room", "way_in")
