"""Recordings of a room, and noises that come back at a place.

Why:  what a room sounds like is recorded with a phone, and a place's noisy hours are known to
    those who live there.
Up:   adds recording and noise_window, both empty; nothing is moved.
Down: takes both away with what they hold; `scout export --all` first keeps it. The files stay
    among the originals.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

INSTANT = sa.DateTime(timezone=True)
PLAIN = sa.JSON(none_as_null=True)


def kept() -> list[sa.Column]:
    """The columns of every row that people edit."""
    return [
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", INSTANT, nullable=False),
        sa.Column("created_by", sa.String(length=300)),
        sa.Column("changed_at", INSTANT, nullable=False),
        sa.Column("changed_by", sa.String(length=300)),
        sa.Column("binned_at", INSTANT),
        sa.Column("binned_by", sa.String(length=300)),
    ]


def upgrade() -> None:
    op.create_table(
        "recording",
        *kept(),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.Column("original_name", sa.String(length=300), nullable=False),
        sa.Column("mime", sa.String(length=60), nullable=False),
        sa.Column("purpose", sa.String(length=20), nullable=False),
        sa.Column("conditions", sa.Text()),
        sa.Column("taken_at", sa.String(length=40)),
        sa.Column("calibration_db", sa.Double()),
        sa.Column("calibration_by", sa.Text()),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("because", sa.Text()),
        sa.Column("measured", PLAIN),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_recording_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_recording"),
    )
    op.create_index("ix_recording_room_id", "recording", ["room_id"], unique=False)
    op.create_index("ix_recording_sha256", "recording", ["sha256"], unique=False)
    op.create_table(
        "noise_window",
        *kept(),
        sa.Column("location_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("days", PLAIN),
        sa.Column("from_time", sa.String(length=5), nullable=False),
        sa.Column("until_time", sa.String(length=5), nullable=False),
        sa.Column("steady", sa.Boolean()),
        sa.ForeignKeyConstraint(
            ["location_id"],
            ["location.id"],
            name="fk_noise_window_location_id_location",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_noise_window"),
    )
    op.create_index("ix_noise_window_location_id", "noise_window", ["location_id"], unique=False)


def downgrade() -> None:
    op.drop_index("ix_noise_window_location_id", table_name="noise_window")
    op.drop_table("noise_window")
    op.drop_index("ix_recording_sha256", table_name="recording")
    op.drop_index("ix_recording_room_id", table_name="recording")
    op.drop_table("recording")
