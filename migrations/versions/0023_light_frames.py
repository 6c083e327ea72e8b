"""What frames a window outside may be pale.

Why:  white reveals, ledges and undersides of balconies were taken as black, and rooms behind them
      came out too dark.
Up:   adds window.reveal_reflectance and window.overhang_reflectance, empty everywhere.
Down: both are lost; `scout export` first keeps them.
Both: SQLite and PostgreSQL take the same statements; no table is rebuilt.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("window", sa.Column("reveal_reflectance", sa.Double()))
    op.add_column("window", sa.Column("overhang_reflectance", sa.Double()))


def downgrade() -> None:
    op.drop_column("window", "overhang_reflectance")
    op.drop_column("window", "reveal_reflectance")
