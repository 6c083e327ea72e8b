"""A production may keep a day plan, and give its calendar private addresses.

Why:  one typed call time cannot be right on three dates in two countries; calls follow from the
    order and the times of the scenes.
Up:   adds day (one row a production, made when something is first kept) and calendar; both begin
    empty.
Down: kept plans, the scenes' lengths and the crew's limits are lost, and private addresses end;
    `scout export --all` first keeps them. Typed call times stay as they are.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "day",
        sa.Column("production_id", sa.Integer(), nullable=False),
        sa.Column("from_time", sa.String(5)),
        sa.Column("until_time", sa.String(5)),
        sa.Column("crew_min", sa.Integer()),
        sa.Column("rest_min", sa.Integer()),
        sa.Column("meal_min", sa.Integer()),
        sa.Column("meal_within_min", sa.Integer()),
        sa.Column("scenes", sa.JSON(none_as_null=True)),
        sa.Column("placed", sa.JSON(none_as_null=True)),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("created_by", sa.String(300)),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_by", sa.String(300)),
        sa.Column("binned_at", sa.DateTime(timezone=True)),
        sa.Column("binned_by", sa.String(300)),
        sa.ForeignKeyConstraint(
            ["production_id"],
            ["production.id"],
            name="fk_day_production_id_production",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_day"),
        sa.UniqueConstraint("production_id", name="uq_day_production_id"),
    )
    op.create_table(
        "calendar",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("production_id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(300)),
        sa.Column("token_sha256", sa.String(64), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(300)),
        sa.ForeignKeyConstraint(
            ["production_id"],
            ["production.id"],
            name="fk_calendar_production_id_production",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_calendar"),
        sa.UniqueConstraint("token_sha256", name="uq_calendar_token_sha256"),
    )
    op.create_index("ix_calendar_production_id", "calendar", ["production_id"])


def downgrade() -> None:
    op.drop_table("calendar")
    op.drop_table("day")
