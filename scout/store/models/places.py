"""Locations and their rooms, with everything the room sheet carries, a table a kind of part."""

from __future__ import annotations

from datetime import date
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, Text, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from scout.store.models.base import Base, Kept, Plain


class Location(Kept, Base):
    """A place with rooms in it."""

    __tablename__ = "location"
    __table_args__ = (
        CheckConstraint("latitude_deg between -90 and 90", name="latitude_range"),
        CheckConstraint("longitude_deg between -180 and 180", name="longitude_range"),
        # the order of lists, which the last page is found by as fast as the first
        Index("ix_location_in_order", text("lower(name)"), "id"),
        Index(
            "ix_location_binned",
            "id",
            sqlite_where=text("binned_at is not null"),
            postgresql_where=text("binned_at is not null"),
        ),
    )
    name: Mapped[str] = mapped_column(String(300), index=True)
    address: Mapped[str | None] = mapped_column(Text)
    latitude_deg: Mapped[float | None]
    longitude_deg: Mapped[float | None]
    elevation_m: Mapped[float | None]
    timezone: Mapped[str | None] = mapped_column(String(80))
    ground_reflectance: Mapped[float | None]
    contacts: Mapped[list[Any] | None] = mapped_column(Plain)
    door_width_m: Mapped[float | None]
    door_height_m: Mapped[float | None]
    steps: Mapped[int | None]
    has_lift: Mapped[bool | None]
    lift_width_m: Mapped[float | None]
    lift_depth_m: Mapped[float | None]
    lift_height_m: Mapped[float | None]
    door_at: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    parking_at: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    parking_distance_m: Mapped[float | None]
    load_in: Mapped[str | None] = mapped_column(Text)
    parking: Mapped[str | None] = mapped_column(Text)
    parking_hours: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    opening_hours: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    hours: Mapped[str | None] = mapped_column(Text)
    permits: Mapped[str | None] = mapped_column(Text)
    permit_lead_days: Mapped[int | None]
    permit_granted: Mapped[bool | None]
    quiet_from: Mapped[str | None] = mapped_column(String(5))
    quiet_until: Mapped[str | None] = mapped_column(String(5))
    fee_amount: Mapped[float | None]
    fee_currency: Mapped[str | None] = mapped_column(String(3))
    fee_note: Mapped[str | None] = mapped_column(Text)
    house_rules: Mapped[str | None] = mapped_column(Text)
    restrooms: Mapped[str | None] = mapped_column(Text)
    holding: Mapped[str | None] = mapped_column(Text)
    phone_signal: Mapped[str | None] = mapped_column(String(10))
    emergency_care: Mapped[str | None] = mapped_column(Text)
    hazards: Mapped[str | None] = mapped_column(Text)
    rooms: Mapped[list[Room]] = relationship(
        back_populates="location", order_by="Room.name, Room.id", passive_deletes=True
    )


class Room(Kept, Base):
    """One room, or one usable piece of ground outdoors; its parts hang on it."""

    __tablename__ = "room"
    __table_args__ = (
        CheckConstraint("width_m > 0", name="width_positive"),
        CheckConstraint("length_m > 0", name="length_positive"),
        CheckConstraint("height_m > 0", name="height_positive"),
        Index(
            "ix_room_in_order",
            "location_id",
            text("lower(coalesce(name, ''))"),
            "id",
            sqlite_where=text("binned_at is null"),
            postgresql_where=text("binned_at is null"),
        ),
    )
    location_id: Mapped[int] = mapped_column(
        ForeignKey("location.id", ondelete="CASCADE"), index=True
    )
    name: Mapped[str | None] = mapped_column(String(300), index=True)
    tags: Mapped[list[Any] | None] = mapped_column(Plain)
    setting: Mapped[str | None] = mapped_column(String(10))
    storey: Mapped[int | None]
    width_m: Mapped[float | None]
    length_m: Mapped[float | None]
    plan_m: Mapped[list[Any] | None] = mapped_column(Plain)
    height_m: Mapped[float | None]
    facing_wall: Mapped[str | None] = mapped_column(String(2))
    facing_bearing_deg: Mapped[float | None]
    facing_north: Mapped[str | None] = mapped_column(String(10))
    facing_accuracy_deg: Mapped[float | None]
    facing_read_on: Mapped[date | None]
    skyline: Mapped[list[Any] | None] = mapped_column(Plain)
    street: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    furnished: Mapped[str | None] = mapped_column(String(10))
    way_in: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    marks: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    extra: Mapped[dict[str, Any] | None] = mapped_column(
        Plain
    )  # what a sheet carried under "extra", passed through
    none_of: Mapped[list[Any] | None] = mapped_column(
        Plain
    )  # kinds of parts that somebody looked for and found none of
    location: Mapped[Location] = relationship(back_populates="rooms")
    surfaces: Mapped[list[Surface]] = relationship(order_by="Surface.name", passive_deletes=True)
    windows: Mapped[list[Window]] = relationship(order_by="Window.id", passive_deletes=True)
    doors: Mapped[list[Door]] = relationship(order_by="Door.id", passive_deletes=True)
    circuits: Mapped[list[Circuit]] = relationship(order_by="Circuit.id", passive_deletes=True)
    outlets: Mapped[list[Outlet]] = relationship(order_by="Outlet.id", passive_deletes=True)
    contents: Mapped[list[Content]] = relationship(order_by="Content.id", passive_deletes=True)
    practicals: Mapped[list[Practical]] = relationship(
        order_by="Practical.id", passive_deletes=True
    )
    furniture: Mapped[list[Furniture]] = relationship(order_by="Furniture.id", passive_deletes=True)
    readings: Mapped[list[LightReading]] = relationship(
        order_by="LightReading.id", passive_deletes=True
    )
    noise: Mapped[list[NoiseReading]] = relationship(
        order_by="NoiseReading.id", passive_deletes=True
    )
    measurements: Mapped[list[Measurement]] = relationship(
        order_by="Measurement.path, Measurement.id", passive_deletes=True
    )


class RoomWords(Base):
    """What may be searched of a room, in one text; derived, and written anew with each change."""

    __tablename__ = "room_words"
    __table_args__ = (
        Index(
            "ix_room_words_sought", text("to_tsvector('simple', words)"), postgresql_using="gin"
        ).ddl_if(dialect="postgresql"),
    )
    room_id: Mapped[int] = mapped_column(
        ForeignKey("room.id", ondelete="CASCADE"), primary_key=True, autoincrement=False
    )
    words: Mapped[str] = mapped_column(Text)


class Part(Kept):
    """Something that belongs to one room."""

    room_id: Mapped[int] = mapped_column(ForeignKey("room.id", ondelete="CASCADE"), index=True)


class Surface(Part, Base):
    """A wall, the ceiling or the floor as light and sound meet it."""

    __tablename__ = "surface"
    __table_args__ = (
        UniqueConstraint("room_id", "name"),
        CheckConstraint("light_reflectance between 0 and 1", name="reflectance_share"),
    )
    name: Mapped[str] = mapped_column(String(10))
    colour: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    light_reflectance: Mapped[float | None]
    finish: Mapped[str | None] = mapped_column(String(10))
    material: Mapped[str | None] = mapped_column(String(40))


class Window(Part, Base):
    """An opening that lets daylight in, placed from the left end of its wall as seen from inside."""

    __tablename__ = "window"
    __table_args__ = (
        CheckConstraint("width_m > 0", name="width_positive"),
        CheckConstraint("height_m > 0", name="height_positive"),
    )
    label: Mapped[str] = mapped_column(String(40))
    wall: Mapped[str] = mapped_column(String(2))
    offset_m: Mapped[float | None]
    sill_m: Mapped[float | None]
    width_m: Mapped[float | None]
    height_m: Mapped[float | None]
    transmittance: Mapped[float | None]
    reveal_m: Mapped[float | None]
    overhang_m: Mapped[float | None]
    overhang_gap_m: Mapped[float | None]
    reveal_reflectance: Mapped[float | None]
    overhang_reflectance: Mapped[float | None]
    covering: Mapped[str | None] = mapped_column(String(10))
    skyline: Mapped[list[Any] | None] = mapped_column(Plain)
    material: Mapped[str | None] = mapped_column(String(40))


class Door(Part, Base):
    """A door in a wall."""

    __tablename__ = "door"
    __table_args__ = (
        CheckConstraint("width_m > 0", name="width_positive"),
        CheckConstraint("height_m > 0", name="height_positive"),
    )
    label: Mapped[str] = mapped_column(String(40))
    wall: Mapped[str] = mapped_column(String(2))
    offset_m: Mapped[float | None]
    width_m: Mapped[float | None]
    height_m: Mapped[float | None]
    material: Mapped[str | None] = mapped_column(String(40))
    keep_free: Mapped[bool | None]  # an exit: nothing may be in its way


class Circuit(Part, Base):
    """What one breaker protects."""

    __tablename__ = "circuit"
    label: Mapped[str] = mapped_column(String(40))
    volts: Mapped[float | None]
    breaker_a: Mapped[float | None]
    other_load_w: Mapped[float | None]
    verified: Mapped[bool | None]


class Outlet(Part, Base):
    """A place to plug in. `circuit` is the circuit's label, so that a binned circuit comes back to
    its outlets.
    """

    __tablename__ = "outlet"
    label: Mapped[str] = mapped_column(String(40))
    wall: Mapped[str | None] = mapped_column(String(2))
    offset_m: Mapped[float | None]
    height_m: Mapped[float | None]
    circuit: Mapped[str | None] = mapped_column(String(40))
    sockets: Mapped[int | None]


class Content(Part, Base):
    """Something soft or hard that stands in the room."""

    __tablename__ = "content"
    material: Mapped[str] = mapped_column(String(40))
    area_m2: Mapped[float | None]
    count: Mapped[int | None]


class Practical(Part, Base):
    """A lamp that belongs to the room."""

    __tablename__ = "practical"
    label: Mapped[str] = mapped_column(String(40))
    at_m: Mapped[list[Any] | None] = mapped_column(Plain)
    lumens: Mapped[float | None]
    cct_k: Mapped[float | None]
    duv: Mapped[float | None]
    can_switch_off: Mapped[bool | None]


class Furniture(Part, Base):
    """Something that stands on the floor, as a block."""

    __tablename__ = "furniture"
    __table_args__ = (
        CheckConstraint("width_m > 0", name="width_positive"),
        CheckConstraint("depth_m > 0", name="depth_positive"),
        CheckConstraint("height_m > 0", name="height_positive"),
    )
    label: Mapped[str] = mapped_column(String(40))
    at_m: Mapped[list[Any] | None] = mapped_column(Plain)
    width_m: Mapped[float | None]
    depth_m: Mapped[float | None]
    turn_deg: Mapped[float | None]
    height_m: Mapped[float | None]
    clear_below_m: Mapped[float | None]
    reflectance: Mapped[float | None]
    colour: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    movable: Mapped[bool | None]
    mirrors: Mapped[bool | None]


class NoiseReading(Part, Base):
    """The room's own sound at one time."""

    __tablename__ = "noise_reading"
    label: Mapped[str] = mapped_column(String(40))
    taken_at: Mapped[str | None] = mapped_column(String(40))  # as written, offset and all
    laeq_db: Mapped[float | None]
    lceq_db: Mapped[float | None]
    bands_db: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    duration_s: Mapped[float | None]
    method: Mapped[str | None] = mapped_column(String(20))
    conditions: Mapped[str | None] = mapped_column(Text)


class LightReading(Part, Base):
    """Daylight read at a mark at one time."""

    __tablename__ = "light_reading"
    __table_args__ = (CheckConstraint("lux > 0", name="lux_positive"),)
    label: Mapped[str] = mapped_column(String(40))
    mark: Mapped[str | None] = mapped_column(String(20))
    plane: Mapped[str | None] = mapped_column(String(20))
    sky: Mapped[str | None] = mapped_column(String(20))
    taken_at: Mapped[str | None] = mapped_column(String(40))  # as written, offset and all
    lux: Mapped[float | None]
    doubt_stops: Mapped[float | None]
    how: Mapped[str | None] = mapped_column(String(20))
    counts: Mapped[bool | None]


class Measurement(Base):
    """Who measured a fact of a room, when, how, and how well."""

    __tablename__ = "measurement"
    id: Mapped[int] = mapped_column(primary_key=True)
    room_id: Mapped[int] = mapped_column(ForeignKey("room.id", ondelete="CASCADE"), index=True)
    path: Mapped[str] = mapped_column(String(200))
    by: Mapped[str | None] = mapped_column(String(300))
    at: Mapped[str | None] = mapped_column(String(40))
    how: Mapped[str | None] = mapped_column(Text)
    accuracy: Mapped[str | None] = mapped_column(Text)


for _kind in (
    Location,
    Room,
    Surface,
    Window,
    Door,
    Circuit,
    Outlet,
    Content,
    Practical,
    Furniture,
    NoiseReading,
    LightReading,
):
    _kind.__mapper__.version_id_col = (
        _kind.__table__.c.version
    )  # of two saves at once, one is refused
