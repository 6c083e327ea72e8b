"""A photo may be shown turned.

Why:  a phone held flat writes down any way up, and rooms lay on their side.
Up:   adds photo.turned, of every photo kept so far "no": as its file says.
Down: photos stand as their files say again, and what was drawn on a turned one lies elsewhere.
Both: SQLite and PostgreSQL take the same statements; no table is rebuilt.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0030"
down_revision = "0029"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("photo", sa.Column("turned", sa.String(10), nullable=False, server_default="no"))
    op.create_index("ix_photo_turned", "photo", ["turned"])


def downgrade() -> None:
    op.drop_index("ix_photo_turned", "photo")
    op.drop_column("photo", "turned")
