"""Arrows, boxes and words may stand on a photo.

Why:  "this socket", "not this door" could only be said in a caption.
Up:   adds photo.overlays, empty everywhere.
Down: what was drawn since is lost; `scout export` first keeps it.
Both: SQLite and PostgreSQL take the same statements; no table is rebuilt.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("photo", sa.Column("overlays", sa.JSON()))


def downgrade() -> None:
    op.drop_column("photo", "overlays")
