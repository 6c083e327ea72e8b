"""A location's door and parking place have positions.

Why:  a map that shows a location as one point tells a driver nothing, and the carry between van
      and door could not be checked.
Up:   adds location.door_at and location.parking_at, empty everywhere.
Down: both are lost; `scout export` first keeps them.
Both: SQLite and PostgreSQL take the same statements; no table is rebuilt.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("location", sa.Column("door_at", sa.JSON(none_as_null=True)))
    op.add_column("location", sa.Column("parking_at", sa.JSON(none_as_null=True)))


def downgrade() -> None:
    op.drop_column("location", "parking_at")
    op.drop_column("location", "door_at")
