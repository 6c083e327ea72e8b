"""A print knows what each of its pages shows, and its front leads to whether it is the last.

Why:  a crew swaps the pages that changed, not the whole packet, and asks by phone whether what it
    holds is still the last.
Up:   adds packet.page_hashes and packet.swap, and packet_code (a token a production). What was
    printed before knows no pages, so that the next print of it names none to swap.
Down: the hashes and tokens are lost; codes on paper lead nowhere any more.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column(
        "packet", sa.Column("page_hashes", sa.JSON(), nullable=False, server_default="[]")
    )
    op.add_column("packet", sa.Column("swap", sa.JSON()))
    op.create_table(
        "packet_code",
        sa.Column("production_id", sa.Integer(), nullable=False),
        sa.Column("token", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("production_id", name="pk_packet_code"),
        sa.UniqueConstraint("token", name="uq_packet_code_token"),
        sa.ForeignKeyConstraint(
            ["production_id"],
            ["production.id"],
            name="fk_packet_code_production_id_production",
            ondelete="CASCADE",
        ),
    )


def downgrade() -> None:
    op.drop_table("packet_code")
    op.drop_column("packet", "swap")
    op.drop_column("packet", "page_hashes")
