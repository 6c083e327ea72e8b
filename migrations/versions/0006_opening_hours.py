"""A location may keep its opening hours so that a scene's dates can be held against them.

Why:  hours in words can be read by people alone, and a need for dates and hours was never
    answered with more than "care".
Up:   adds location.opening_hours, empty everywhere; the words stay as they are and nothing is
    guessed from them.
Down: opening hours entered since are lost; `scout export --all` first keeps them. The words stay.
Both: SQLite and PostgreSQL take the same statements, and neither rebuilds the table.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("location", sa.Column("opening_hours", sa.JSON(none_as_null=True)))


def downgrade() -> None:
    op.drop_column("location", "opening_hours")
