"""A print, the days or a choice of room may be shown by a link.

Why:  a driver, an owner or a client is to see one thing without an account, and no longer than
      they need.
Up:   adds link (a row a link, of whose token and passphrase only hashes are kept); it begins empty.
Down: links are lost, and whoever holds one finds nothing; `scout export` never held them.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "link",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("production_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(12), nullable=False),
        sa.Column("record_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(300), nullable=False),
        sa.Column("token_sha256", sa.String(64), nullable=False),
        sa.Column("passphrase_hash", sa.String(300)),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(300)),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True)),
        sa.Column("opened", sa.Integer(), nullable=False),
        sa.Column("opened_at", sa.DateTime(timezone=True)),
        sa.ForeignKeyConstraint(
            ["production_id"],
            ["production.id"],
            name="fk_link_production_id_production",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_link"),
        sa.UniqueConstraint("token_sha256", name="uq_link_token_sha256"),
    )
    op.create_index("ix_link_production_id_id", "link", ["production_id", "id"])


def downgrade() -> None:
    op.drop_table("link")
