"""Parking has hours, and a noise that comes back may have a switch.

Why:  a call was given without a word on whether the vans may stand there then, and a boiler that
      anybody could switch off was waited for.
Up:   adds location.parking_hours and noise_window.can_switch_off, empty everywhere.
Down: both are lost; `scout export` first keeps them.
Both: SQLite and PostgreSQL take the same statements; no table is rebuilt.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("location", sa.Column("parking_hours", sa.JSON(none_as_null=True)))
    op.add_column("noise_window", sa.Column("can_switch_off", sa.Boolean()))


def downgrade() -> None:
    op.drop_column("noise_window", "can_switch_off")
    op.drop_column("location", "parking_hours")
