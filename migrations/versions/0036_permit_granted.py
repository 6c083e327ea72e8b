"""Whether a place's permit is granted.

Why:  a permit that takes longer than is left until the day is warned of, until somebody has it.
Up:   adds location.permit_granted, empty: of no place is it known.
Down: the answers are lost.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0036"
down_revision = "0035"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("location", sa.Column("permit_granted", sa.Boolean()))


def downgrade() -> None:
    op.drop_column("location", "permit_granted")
