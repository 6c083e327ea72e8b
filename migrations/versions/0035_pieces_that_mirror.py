"""A piece of furniture that mirrors: a hung mirror, a television, a picture behind glass.

Why:  lamps and camera show in it, and only windows after dark and gloss walls were judged for that.
Up:   adds furniture.mirrors, empty everywhere: what pieces there are do not mirror as far as is known.
Down: what was entered of it is lost; the pieces stay.
Both: SQLite and PostgreSQL take the same statements, and neither rebuilds a table.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0035"
down_revision = "0034"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("furniture", sa.Column("mirrors", sa.Boolean()))


def downgrade() -> None:
    op.drop_column("furniture", "mirrors")
