"""What choosing a room rests on: how rooms look, permits, neighbours; and what was decided.

Why:  a choice that stands up in front of a client keeps who made it, why, and the facts as they
    stood; looks, a permit's lead time and the neighbours' quiet hours could only be written as notes.
Up:   adds room.tags, location.permit_lead_days, quiet_from and quiet_until, empty everywhere, and
    the tables decision and saved_search. Choices made before have no decision: nobody wrote down what
    they rested on.
Down: tags, lead times, quiet hours, decisions and saved searches are lost; candidates keep their
    state and their reason. `scout export --all` first keeps the rest.
Both: SQLite and PostgreSQL take the same statements, and neither rebuilds a table.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("room", sa.Column("tags", sa.JSON(none_as_null=True)))
    op.add_column("location", sa.Column("permit_lead_days", sa.Integer()))
    op.add_column("location", sa.Column("quiet_from", sa.String(5)))
    op.add_column("location", sa.Column("quiet_until", sa.String(5)))
    op.create_table(
        "decision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("scene_id", sa.Integer(), nullable=False),
        sa.Column("candidate_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by", sa.String(300)),
        sa.Column("why", sa.Text()),
        sa.Column("facts_sha256", sa.String(64), nullable=False),
        sa.Column("held", sa.JSON(none_as_null=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["scene_id"], ["scene.id"], name="fk_decision_scene_id_scene", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["candidate_id"],
            ["candidate.id"],
            name="fk_decision_candidate_id_candidate",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_decision"),
    )
    op.create_index("ix_decision_scene_id", "decision", ["scene_id"])
    op.create_index("ix_decision_candidate_id", "decision", ["candidate_id"])
    op.create_table(
        "saved_search",
        sa.Column("name", sa.String(300), nullable=False),
        sa.Column("asked", sa.JSON(none_as_null=True), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("created_by", sa.String(300)),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_by", sa.String(300)),
        sa.Column("binned_at", sa.DateTime(timezone=True)),
        sa.Column("binned_by", sa.String(300)),
        sa.PrimaryKeyConstraint("id", name="pk_saved_search"),
    )


def downgrade() -> None:
    op.drop_table("saved_search")
    op.drop_index("ix_decision_candidate_id", "decision")
    op.drop_index("ix_decision_scene_id", "decision")
    op.drop_table("decision")
    for column in ("quiet_until", "quiet_from", "permit_lead_days"):
        op.drop_column("location", column)
    op.drop_column("room", "tags")
