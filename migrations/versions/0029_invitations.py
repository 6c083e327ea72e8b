"""Somebody is let in by a link that works once.

Why:  a new person, or one who forgot the password, had to be at the machine itself.
Up:   adds invitation (a row a link, of whose token only a hash is kept); it begins empty.
Down: links that nobody used yet are lost; whoever used theirs stays.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0029"
down_revision = "0028"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "invitation",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer()),
        sa.Column("email", sa.String(200), nullable=False),
        sa.Column("name", sa.String(300), nullable=False),
        sa.Column("role", sa.String(12), nullable=False),
        sa.Column("token_sha256", sa.String(64), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(300)),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name="fk_invitation_person_id_person", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_invitation"),
        sa.UniqueConstraint("email", name="uq_invitation_email"),
        sa.UniqueConstraint("token_sha256", name="uq_invitation_token_sha256"),
    )
    op.create_index("ix_invitation_person_id", "invitation", ["person_id"])


def downgrade() -> None:
    op.drop_table("invitation")
