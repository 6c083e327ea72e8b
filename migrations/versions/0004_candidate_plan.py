"""A room proposed for a scene may keep a plan of its own: where subject, camera and lights stand
for that scene.

Why:  two scenes may use one room differently, and marks of the room alone cannot say both.
Up:   adds candidate.plan, empty everywhere: the room's own marks and the worked-out places are
    used as before.
Down: plans drawn for a scene are lost; the room's marks stay.
Both: SQLite and PostgreSQL take the same statements, and neither rebuilds the table.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("candidate", sa.Column("plan", sa.JSON(none_as_null=True)))


def downgrade() -> None:
    op.drop_column("candidate", "plan")
