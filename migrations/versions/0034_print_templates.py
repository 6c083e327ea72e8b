"""Choices of a print under a name: which edition, of which day, on what paper, in which units.

Why:  a production prints several editions again and again, and only the last one's choices were known.
Up:   adds print_template (a row a name of a production); it begins empty.
Down: the names go, and what was printed stays; the next print is asked for as the last was.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0034"
down_revision = "0033"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "print_template",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("production_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(300), nullable=False),
        sa.Column("edition", sa.String(20), nullable=False),
        sa.Column("on_date", sa.String(10), nullable=False),
        sa.Column("paper", sa.String(10), nullable=False),
        sa.Column("units", sa.String(10), nullable=False),
        sa.ForeignKeyConstraint(
            ["production_id"],
            ["production.id"],
            name="fk_print_template_production_id_production",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_print_template"),
        sa.UniqueConstraint("production_id", "name", name="uq_print_template_production_id_name"),
    )


def downgrade() -> None:
    op.drop_table("print_template")
