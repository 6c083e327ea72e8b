"""A room may say that it has no windows, which is not the same as windows nobody has recorded.

Why:  a sheet with an empty list came back without the key, and "there is none" turned into "not
    recorded".
Up:   adds room.none_of, empty everywhere: what was recorded so far says nothing of the kind.
Down: what was said to be absent counts as not recorded again; `scout export` first keeps it.
Both: SQLite and PostgreSQL take the same statements, and neither rebuilds the table.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("room", sa.Column("none_of", sa.JSON(none_as_null=True)))


def downgrade() -> None:
    op.drop_column("room", "none_of")
