"""The first tables: people, locations, rooms with their parts, productions, scenes, candidates,
photos, notes, packets.

Why:  there is nothing yet to keep records in.
Up:   makes every table; there is no row to move.
Down: takes every table away with all it holds; `scout export --all` first keeps it.
Both: SQLite and PostgreSQL take the same statements.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
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
        "change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", INSTANT, nullable=False),
        sa.Column("by", sa.String(length=300)),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("record_id", sa.Integer(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_change"),
    )
    op.create_index("ix_change_at", "change", ["at"], unique=False)
    op.create_table(
        "location",
        *kept(),
        sa.Column("name", sa.String(length=300), nullable=False),
        sa.Column("address", sa.Text()),
        sa.Column("latitude_deg", sa.Double()),
        sa.Column("longitude_deg", sa.Double()),
        sa.Column("elevation_m", sa.Double()),
        sa.Column("timezone", sa.String(length=80)),
        sa.Column("ground_reflectance", sa.Double()),
        sa.Column("contacts", PLAIN),
        sa.Column("door_width_m", sa.Double()),
        sa.Column("door_height_m", sa.Double()),
        sa.Column("steps", sa.Integer()),
        sa.Column("has_lift", sa.Boolean()),
        sa.Column("lift_width_m", sa.Double()),
        sa.Column("lift_depth_m", sa.Double()),
        sa.Column("lift_height_m", sa.Double()),
        sa.Column("parking_distance_m", sa.Double()),
        sa.Column("load_in", sa.Text()),
        sa.Column("parking", sa.Text()),
        sa.Column("hours", sa.Text()),
        sa.Column("permits", sa.Text()),
        sa.Column("fee_amount", sa.Double()),
        sa.Column("fee_currency", sa.String(length=3)),
        sa.Column("fee_note", sa.Text()),
        sa.Column("house_rules", sa.Text()),
        sa.Column("restrooms", sa.Text()),
        sa.Column("holding", sa.Text()),
        sa.Column("phone_signal", sa.String(length=10)),
        sa.Column("emergency_care", sa.Text()),
        sa.Column("hazards", sa.Text()),
        sa.CheckConstraint("latitude_deg between -90 and 90", name="ck_location_latitude_range"),
        sa.CheckConstraint(
            "longitude_deg between -180 and 180", name="ck_location_longitude_range"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_location"),
    )
    op.create_index("ix_location_name", "location", ["name"], unique=False)
    op.create_table(
        "person",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("email", sa.String(length=200), nullable=False),
        sa.Column("name", sa.String(length=300), nullable=False),
        sa.Column("password_hash", sa.String(length=300), nullable=False),
        sa.Column("created_at", INSTANT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_person"),
        sa.UniqueConstraint("email", name="uq_person_email"),
    )
    op.create_table(
        "production",
        *kept(),
        sa.Column("title", sa.String(length=300), nullable=False),
        sa.Column("client", sa.Text()),
        sa.Column("shoot_dates", PLAIN),
        sa.Column("crew", PLAIN),
        sa.Column("kit", PLAIN),
        sa.PrimaryKeyConstraint("id", name="pk_production"),
    )
    op.create_index("ix_production_title", "production", ["title"], unique=False)
    op.create_table(
        "packet",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("production_id", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("made_at", INSTANT, nullable=False),
        sa.Column("made_by", sa.String(length=300)),
        sa.Column("paper", sa.String(length=10), nullable=False),
        sa.Column("pages", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("changes", PLAIN, nullable=False),
        sa.Column("held", PLAIN, nullable=False),
        sa.ForeignKeyConstraint(
            ["production_id"],
            ["production.id"],
            name="fk_packet_production_id_production",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_packet"),
        sa.UniqueConstraint("production_id", "revision", name="uq_packet_production_id_revision"),
    )
    op.create_index("ix_packet_production_id", "packet", ["production_id"], unique=False)
    op.create_table(
        "room",
        *kept(),
        sa.Column("location_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=300)),
        sa.Column("setting", sa.String(length=10)),
        sa.Column("storey", sa.Integer()),
        sa.Column("width_m", sa.Double()),
        sa.Column("length_m", sa.Double()),
        sa.Column("plan_m", PLAIN),
        sa.Column("height_m", sa.Double()),
        sa.Column("facing_wall", sa.String(length=1)),
        sa.Column("facing_bearing_deg", sa.Double()),
        sa.Column("facing_north", sa.String(length=10)),
        sa.Column("facing_accuracy_deg", sa.Double()),
        sa.Column("facing_read_on", sa.Date()),
        sa.Column("skyline", PLAIN),
        sa.Column("marks", PLAIN),
        sa.Column("extra", PLAIN),
        sa.CheckConstraint("height_m > 0", name="ck_room_height_positive"),
        sa.CheckConstraint("length_m > 0", name="ck_room_length_positive"),
        sa.CheckConstraint("width_m > 0", name="ck_room_width_positive"),
        sa.ForeignKeyConstraint(
            ["location_id"],
            ["location.id"],
            name="fk_room_location_id_location",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_room"),
    )
    op.create_index("ix_room_location_id", "room", ["location_id"], unique=False)
    op.create_index("ix_room_name", "room", ["name"], unique=False)
    op.create_table(
        "scene",
        *kept(),
        sa.Column("production_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=300), nullable=False),
        sa.Column("seen", sa.Text()),
        sa.Column("heard", sa.Text()),
        sa.Column("needs", PLAIN),
        sa.ForeignKeyConstraint(
            ["production_id"],
            ["production.id"],
            name="fk_scene_production_id_production",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_scene"),
    )
    op.create_index("ix_scene_production_id", "scene", ["production_id"], unique=False)
    op.create_table(
        "candidate",
        *kept(),
        sa.Column("scene_id", sa.Integer(), nullable=False),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("reason", sa.Text()),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_candidate_room_id_room", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["scene_id"], ["scene.id"], name="fk_candidate_scene_id_scene", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_candidate"),
        sa.UniqueConstraint("scene_id", "room_id", name="uq_candidate_scene_id_room_id"),
    )
    op.create_index("ix_candidate_room_id", "candidate", ["room_id"], unique=False)
    op.create_index("ix_candidate_scene_id", "candidate", ["scene_id"], unique=False)
    op.create_table(
        "circuit",
        *kept(),
        sa.Column("label", sa.String(length=40), nullable=False),
        sa.Column("volts", sa.Double()),
        sa.Column("breaker_a", sa.Double()),
        sa.Column("other_load_w", sa.Double()),
        sa.Column("verified", sa.Boolean()),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_circuit_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_circuit"),
    )
    op.create_index("ix_circuit_room_id", "circuit", ["room_id"], unique=False)
    op.create_table(
        "content",
        *kept(),
        sa.Column("material", sa.String(length=40), nullable=False),
        sa.Column("area_m2", sa.Double()),
        sa.Column("count", sa.Integer()),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_content_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_content"),
    )
    op.create_index("ix_content_room_id", "content", ["room_id"], unique=False)
    op.create_table(
        "door",
        *kept(),
        sa.Column("label", sa.String(length=40), nullable=False),
        sa.Column("wall", sa.String(length=1), nullable=False),
        sa.Column("offset_m", sa.Double()),
        sa.Column("width_m", sa.Double()),
        sa.Column("height_m", sa.Double()),
        sa.Column("material", sa.String(length=40)),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.CheckConstraint("height_m > 0", name="ck_door_height_positive"),
        sa.CheckConstraint("width_m > 0", name="ck_door_width_positive"),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_door_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_door"),
    )
    op.create_index("ix_door_room_id", "door", ["room_id"], unique=False)
    op.create_table(
        "measurement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.Column("path", sa.String(length=200), nullable=False),
        sa.Column("by", sa.String(length=300)),
        sa.Column("at", sa.String(length=40)),
        sa.Column("how", sa.Text()),
        sa.Column("accuracy", sa.Text()),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_measurement_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_measurement"),
    )
    op.create_index("ix_measurement_room_id", "measurement", ["room_id"], unique=False)
    op.create_table(
        "noise_reading",
        *kept(),
        sa.Column("label", sa.String(length=40), nullable=False),
        sa.Column("taken_at", sa.String(length=40)),
        sa.Column("laeq_db", sa.Double()),
        sa.Column("lceq_db", sa.Double()),
        sa.Column("bands_db", PLAIN),
        sa.Column("duration_s", sa.Double()),
        sa.Column("method", sa.String(length=20)),
        sa.Column("conditions", sa.Text()),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_noise_reading_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_noise_reading"),
    )
    op.create_index("ix_noise_reading_room_id", "noise_reading", ["room_id"], unique=False)
    op.create_table(
        "note",
        *kept(),
        sa.Column("location_id", sa.Integer()),
        sa.Column("room_id", sa.Integer()),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("audience", sa.String(length=10), nullable=False),
        sa.CheckConstraint("(location_id is null) <> (room_id is null)", name="ck_note_one_owner"),
        sa.ForeignKeyConstraint(
            ["location_id"],
            ["location.id"],
            name="fk_note_location_id_location",
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_note_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_note"),
    )
    op.create_index("ix_note_location_id", "note", ["location_id"], unique=False)
    op.create_index("ix_note_room_id", "note", ["room_id"], unique=False)
    op.create_table(
        "outlet",
        *kept(),
        sa.Column("label", sa.String(length=40), nullable=False),
        sa.Column("wall", sa.String(length=1)),
        sa.Column("offset_m", sa.Double()),
        sa.Column("height_m", sa.Double()),
        sa.Column("circuit", sa.String(length=40)),
        sa.Column("sockets", sa.Integer()),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_outlet_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_outlet"),
    )
    op.create_index("ix_outlet_room_id", "outlet", ["room_id"], unique=False)
    op.create_table(
        "photo",
        *kept(),
        sa.Column("location_id", sa.Integer()),
        sa.Column("room_id", sa.Integer()),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.Column("original_name", sa.String(length=300), nullable=False),
        sa.Column("mime", sa.String(length=60), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("facts", PLAIN, nullable=False),
        sa.Column("caption", sa.Text()),
        sa.Column("in_packet", sa.Boolean(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("latitude_deg", sa.Double()),
        sa.Column("longitude_deg", sa.Double()),
        sa.Column("bearing_deg", sa.Double()),
        sa.Column("taken_at", sa.String(length=40)),
        sa.CheckConstraint("(location_id is null) <> (room_id is null)", name="ck_photo_one_owner"),
        sa.ForeignKeyConstraint(
            ["location_id"],
            ["location.id"],
            name="fk_photo_location_id_location",
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_photo_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_photo"),
    )
    op.create_index("ix_photo_location_id", "photo", ["location_id"], unique=False)
    op.create_index("ix_photo_room_id", "photo", ["room_id"], unique=False)
    op.create_index("ix_photo_sha256", "photo", ["sha256"], unique=False)
    op.create_table(
        "practical",
        *kept(),
        sa.Column("label", sa.String(length=40), nullable=False),
        sa.Column("at_m", PLAIN),
        sa.Column("lumens", sa.Double()),
        sa.Column("cct_k", sa.Double()),
        sa.Column("duv", sa.Double()),
        sa.Column("can_switch_off", sa.Boolean()),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_practical_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_practical"),
    )
    op.create_index("ix_practical_room_id", "practical", ["room_id"], unique=False)
    op.create_table(
        "surface",
        *kept(),
        sa.Column("name", sa.String(length=10), nullable=False),
        sa.Column("colour", PLAIN),
        sa.Column("light_reflectance", sa.Double()),
        sa.Column("finish", sa.String(length=10)),
        sa.Column("material", sa.String(length=40)),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "light_reflectance between 0 and 1", name="ck_surface_reflectance_share"
        ),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_surface_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_surface"),
        sa.UniqueConstraint("room_id", "name", name="uq_surface_room_id_name"),
    )
    op.create_index("ix_surface_room_id", "surface", ["room_id"], unique=False)
    op.create_table(
        "window",
        *kept(),
        sa.Column("label", sa.String(length=40), nullable=False),
        sa.Column("wall", sa.String(length=1), nullable=False),
        sa.Column("offset_m", sa.Double()),
        sa.Column("sill_m", sa.Double()),
        sa.Column("width_m", sa.Double()),
        sa.Column("height_m", sa.Double()),
        sa.Column("transmittance", sa.Double()),
        sa.Column("reveal_m", sa.Double()),
        sa.Column("overhang_m", sa.Double()),
        sa.Column("overhang_gap_m", sa.Double()),
        sa.Column("covering", sa.String(length=10)),
        sa.Column("skyline", PLAIN),
        sa.Column("material", sa.String(length=40)),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.CheckConstraint("height_m > 0", name="ck_window_height_positive"),
        sa.CheckConstraint("width_m > 0", name="ck_window_width_positive"),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_window_room_id_room", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_window"),
    )
    op.create_index("ix_window_room_id", "window", ["room_id"], unique=False)


def downgrade() -> None:
    op.drop_index("ix_window_room_id", table_name="window")
    op.drop_table("window")
    op.drop_index("ix_surface_room_id", table_name="surface")
    op.drop_table("surface")
    op.drop_index("ix_practical_room_id", table_name="practical")
    op.drop_table("practical")
    op.drop_index("ix_photo_sha256", table_name="photo")
    op.drop_index("ix_photo_room_id", table_name="photo")
    op.drop_index("ix_photo_location_id", table_name="photo")
    op.drop_table("photo")
    op.drop_index("ix_outlet_room_id", table_name="outlet")
    op.drop_table("outlet")
    op.drop_index("ix_note_room_id", table_name="note")
    op.drop_index("ix_note_location_id", table_name="note")
    op.drop_table("note")
    op.drop_index("ix_noise_reading_room_id", table_name="noise_reading")
    op.drop_table("noise_reading")
    op.drop_index("ix_measurement_room_id", table_name="measurement")
    op.drop_table("measurement")
    op.drop_index("ix_door_room_id", table_name="door")
    op.drop_table("door")
    op.drop_index("ix_content_room_id", table_name="content")
    op.drop_table("content")
    op.drop_index("ix_circuit_room_id", table_name="circuit")
    op.drop_table("circuit")
    op.drop_index("ix_candidate_scene_id", table_name="candidate")
    op.drop_index("ix_candidate_room_id", table_name="candidate")
    op.drop_table("candidate")
    op.drop_index("ix_scene_production_id", table_name="scene")
    op.drop_table("scene")
    op.drop_index("ix_room_name", table_name="room")
    op.drop_index("ix_room_location_id", table_name="room")
    op.drop_table("room")
    op.drop_index("ix_packet_production_id", table_name="packet")
    op.drop_table("packet")
    op.drop_index("ix_production_title", table_name="production")
    op.drop_table("production")
    op.drop_table("person")
    op.drop_index("ix_location_name", table_name="location")
    op.drop_table("location")
    op.drop_index("ix_change_at", table_name="change")
    op.drop_table("change")
