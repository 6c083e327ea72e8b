"""A setup: a scene in a room on one date between two hours.

Why:  a room is judged for the hours, the framing and the state of blinds and fridge at which it is
    used; a scene's needs alone cannot say that two dates are two setups.
Up:   adds setup. Every candidate gets those its scene asks for: one for each of its dates with its
    hours and its framing, or one without a date where the scene names none or more than fourteen.
Down: setups are lost, and with them what was entered since of minutes, coverings, lenses and what
    is switched off; `scout export --all` first keeps them. Scenes keep their dates.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

from datetime import date

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

MOST_DATES = 14


def upgrade() -> None:
    setup = op.create_table(
        "setup",
        sa.Column("candidate_id", sa.Integer(), nullable=False),
        sa.Column("on", sa.Date()),
        sa.Column("from_time", sa.String(5)),
        sa.Column("until_time", sa.String(5)),
        sa.Column("set_up_min", sa.Integer()),
        sa.Column("strike_min", sa.Integer()),
        sa.Column("framing", sa.String(20)),
        sa.Column("focal_length_mm", sa.Double()),
        sa.Column("covers", sa.JSON(none_as_null=True)),
        sa.Column("switched_off", sa.JSON(none_as_null=True)),
        sa.Column("note", sa.Text()),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("created_by", sa.String(300)),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_by", sa.String(300)),
        sa.Column("binned_at", sa.DateTime(timezone=True)),
        sa.Column("binned_by", sa.String(300)),
        sa.ForeignKeyConstraint(
            ["candidate_id"],
            ["candidate.id"],
            name="fk_setup_candidate_id_candidate",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_setup"),
    )
    op.create_index("ix_setup_candidate_id", "setup", ["candidate_id"])
    candidate = sa.table(
        "candidate",
        sa.column("id", sa.Integer()),
        sa.column("scene_id", sa.Integer()),
        sa.column("created_at", sa.DateTime(timezone=True)),
        sa.column("created_by", sa.String()),
    )
    scene = sa.table("scene", sa.column("id", sa.Integer()), sa.column("needs", sa.JSON()))
    connection = op.get_bind()
    asked = sa.select(
        candidate.c.id, candidate.c.created_at, candidate.c.created_by, scene.c.needs
    ).join(scene, scene.c.id == candidate.c.scene_id)
    rows = [
        {
            "candidate_id": key,
            "version": 1,
            "created_at": at,
            "created_by": by,
            "changed_at": at,
            "changed_by": by,
            **one,
        }
        for key, at, by, needs in connection.execute(asked.order_by(candidate.c.id)).all()
        for one in _asked(needs or [])
    ]
    if rows:
        connection.execute(sa.insert(setup), rows)


def _asked(needs: list[dict]) -> list[dict]:  # type: ignore[type-arg]
    framings = {need["framing"] for need in needs if need["topic"] == "framing"}
    framing = framings.pop() if len(framings) == 1 else None
    found = []
    for need in needs:
        if need["topic"] != "when":
            continue
        begin, end = need.get("from_time"), need.get("until_time")
        if begin == end:
            begin = end = None
        days = need["dates"] if len(need["dates"]) <= MOST_DATES else [None]
        for day in days:
            one = {
                "on": date.fromisoformat(day) if day else None,
                "from_time": begin,
                "until_time": end,
                "framing": framing,
            }
            if one not in found:
                found.append(one)
    return found or [{"on": None, "from_time": None, "until_time": None, "framing": framing}]


def downgrade() -> None:
    op.drop_index("ix_setup_candidate_id", "setup")
    op.drop_table("setup")
