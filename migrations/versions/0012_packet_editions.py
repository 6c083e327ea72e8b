"""A packet is one edition of a revision.

Why:  a crew carries the whole packet, one day or their own pages; all editions of a revision hold
    the same facts, and the same facts printed again are the same revision.
Up:   adds packet.edition, on_date, units, facts, findings and lines. What was printed before is the
    whole edition, for no single date; its facts have no name yet, so the next print is the next
    revision.
Down: editions other than the first of a revision leave the table, their files stay on disk;
    `scout export --all` first keeps them.
Both: SQLite rebuilds the table (batch), PostgreSQL adds columns and changes the constraint.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

OLD = "uq_packet_production_id_revision"
NEW = "uq_packet_production_id_revision_edition_on_date_paper_units"
ADDED = ("edition", "on_date", "units", "facts", "findings", "lines")


def upgrade() -> None:
    with op.batch_alter_table("packet") as table:
        table.add_column(
            sa.Column("edition", sa.String(20), nullable=False, server_default="whole")
        )
        table.add_column(sa.Column("on_date", sa.String(10), nullable=False, server_default=""))
        table.add_column(sa.Column("units", sa.String(10), nullable=False, server_default="metric"))
        table.add_column(sa.Column("facts", sa.String(64), nullable=False, server_default=""))
        table.add_column(sa.Column("findings", sa.JSON(), nullable=False, server_default="{}"))
        table.add_column(sa.Column("lines", sa.JSON(), nullable=False, server_default="[]"))
        table.drop_constraint(OLD, type_="unique")
        table.create_unique_constraint(
            NEW, ["production_id", "revision", "edition", "on_date", "paper", "units"]
        )
    with op.batch_alter_table("packet") as table:
        for name in ADDED:
            table.alter_column(name, server_default=None)


def downgrade() -> None:
    packet = sa.table(
        "packet",
        sa.column("id", sa.Integer()),
        sa.column("production_id", sa.Integer()),
        sa.column("revision", sa.Integer()),
    )
    kept = sa.select(sa.func.min(packet.c.id)).group_by(packet.c.production_id, packet.c.revision)
    op.get_bind().execute(sa.delete(packet).where(packet.c.id.not_in(kept.scalar_subquery())))
    with op.batch_alter_table("packet") as table:
        table.drop_constraint(NEW, type_="unique")
        for name in reversed(ADDED):
            table.drop_column(name)
        table.create_unique_constraint(OLD, ["production_id", "revision"])
