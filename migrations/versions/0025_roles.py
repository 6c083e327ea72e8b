"""Everybody who may log in has a role.

Why:  owners' fees and private notes stand beside what a crew may read, and a guest may look only.
Up:   adds person.role; the first person becomes the owner, all others may do what they did before.
Down: roles are lost: everybody may do everything again. Think before that of whom you invited.
Both: SQLite and PostgreSQL take the same statements; no table is rebuilt.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0025"
down_revision = "0024"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column(
        "person", sa.Column("role", sa.String(12), nullable=False, server_default="guest")
    )
    op.execute("update person set role = 'scout'")
    op.execute("update person set role = 'owner' where id = (select min(id) from person)")


def downgrade() -> None:
    op.drop_column("person", "role")
