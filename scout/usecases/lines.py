"""Rows as the short lines that lists and pages show, and what is still missing in each."""

from __future__ import annotations

from typing import Any

from scout.calc import geometry
from scout.store import models
from scout.store.messages import kept
from scout.usecases.shown import (
    CandidateLine,
    LocationLine,
    NoteLine,
    PacketLine,
    PhotoLine,
    RoomLine,
)

UNNAMED = "Unnamed room"


def room_name(row: models.Room) -> str:
    """What a room is called, if anything."""
    return row.name or UNNAMED


def location_line(row: models.Location, room_count: int) -> LocationLine:
    """A location in a list, with what a crew would miss first."""
    missing = [
        words
        for words, value in (
            ("coordinates", row.latitude_deg),
            ("emergency care", row.emergency_care),
            ("contacts", row.contacts),
            ("load-in", row.load_in),
        )
        if not value and value != 0
    ]
    return LocationLine(row.id, row.name, row.address, room_count, row.timezone, tuple(missing))


def room_line(row: models.Room, location: models.Location, window_count: int) -> RoomLine:
    """A room in a list, with what is not measured."""
    plan = row.plan_m or (
        geometry.rectangle_m(row.width_m, row.length_m) if row.width_m and row.length_m else None
    )
    area = geometry.plan_area_m2(plan) if plan is not None else None
    missing = [
        words
        for words, value in (("plan", area), ("facing", row.facing_bearing_deg))
        if value is None
    ]
    if row.setting != "exterior" and row.height_m is None:
        missing.append("height")
    return RoomLine(
        row.id,
        room_name(row),
        row.setting,
        location.id,
        location.name,
        area,
        row.height_m,
        window_count,
        tuple(missing),
    )


def photo_line(row: models.Photo) -> PhotoLine:
    """A photo in a list."""
    return PhotoLine(
        row.id,
        row.version,
        row.caption,
        row.taken_at,
        row.in_packet,
        row.position,
        row.width_px,
        row.height_px,
        row.latitude_deg,
        row.longitude_deg,
        row.bearing_deg,
        tuple(kept(one) for one in row.facts.get("warnings", ())),
        row.original_name,
        row.sha256,
    )


def note_line(row: models.Note) -> NoteLine:
    """A note in a list."""
    return NoteLine(row.id, row.version, row.created_by, row.created_at, row.text, row.audience)


def candidate_line(row: models.Candidate) -> CandidateLine:
    """A candidate in a list."""
    return CandidateLine(
        row.id,
        row.version,
        row.room_id,
        room_name(row.room),
        row.room.location.name,
        row.scene_id,
        row.scene.name,
        row.scene.production_id,
        row.state,
        row.reason,
    )


def packet_line(row: models.Packet, warnings: tuple[str, ...] = ()) -> PacketLine:
    """A printed revision in a list."""
    changes: list[Any] = row.changes
    return PacketLine(
        row.id,
        row.production_id,
        row.revision,
        row.made_at,
        row.made_by,
        row.pages,
        row.paper,
        tuple(changes),
        warnings,
    )
