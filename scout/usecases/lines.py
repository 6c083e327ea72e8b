"""Rows as the short lines that lists and pages show, and what is still missing in each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from scout.calc import geometry
from scout.store import models
from scout.store.messages import kept
from scout.store.queries import common
from scout.store.queries import places as queries
from scout.usecases.shown import (
    CandidateLine,
    LocationLine,
    NoteLine,
    PhotoLine,
    ProductionLine,
    RoomLine,
)
from scout.usecases.work import Work
from scout.values import Word


def room_name(row: models.Room | models.Location) -> str:
    """What a room or its place is called, if anything."""
    return row.name or str(Word("room", "nameless"))


def location_line(
    row: models.Location, room_count: int, photo_id: int | None = None
) -> LocationLine:
    """A location in a list, with what a crew would miss first."""
    missing = [
        name
        for name in ("coordinates", "emergency_care", "contacts", "load_in")
        if getattr(row, "latitude_deg" if name == "coordinates" else name) in (None, "", [])
    ]
    return LocationLine(
        row.id, row.name, row.address, room_count, row.timezone, _facts(missing), photo_id
    )


def location_lines(work: Work, rows: Sequence[Any]) -> tuple[LocationLine, ...]:
    """Locations as lines, each with the number of its rooms and its first photo."""
    keys = [row.id for (row,) in rows]
    counts = common.counts(work.db, models.Room.location_id, keys)
    photos = queries.first_photos(work.db, location_ids=keys)
    return tuple(location_line(row, counts.get(row.id, 0), photos.get(row.id)) for (row,) in rows)


def production_lines(work: Work, rows: Sequence[Any]) -> tuple[ProductionLine, ...]:
    """Productions as lines, each with the number of its scenes."""
    counts = common.counts(work.db, models.Scene.production_id, [row.id for (row,) in rows])
    return tuple(
        ProductionLine(
            row.id, row.title, row.client, tuple(row.shoot_dates or ()), counts.get(row.id, 0)
        )
        for (row,) in rows
    )


def _facts(names: list[str]) -> tuple[Word, ...]:
    return tuple(Word("fact", name) for name in names)


def room_line(
    row: models.Room, location: models.Location, window_count: int, photo_id: int | None = None
) -> RoomLine:
    """A room in a list, with what is not measured."""
    plan = row.plan_m or (
        geometry.rectangle_m(row.width_m, row.length_m) if row.width_m and row.length_m else None
    )
    area = geometry.plan_area_m2(plan) if plan is not None else None
    missing = [
        name
        for name, value in (("plan_m", area), ("facing", row.facing_bearing_deg))
        if value is None
    ]
    if row.setting != "exterior" and row.height_m is None:
        missing.append("height_m")
    return RoomLine(
        row.id,
        room_name(row),
        row.setting,
        location.id,
        location.name,
        area,
        row.height_m,
        window_count,
        _facts(missing),
        photo_id,
    )


def room_lines(work: Work, rows: Sequence[Any]) -> tuple[RoomLine, ...]:
    """Rooms with their places as lines, each with the number of its windows and its first photo."""
    keys = [room.id for room, _ in rows]
    windows = common.counts(work.db, models.Window.room_id, keys)
    photos = queries.first_photos(work.db, room_ids=keys)
    return tuple(
        room_line(room, place, windows.get(room.id, 0), photos.get(room.id)) for room, place in rows
    )


def photo_line(row: models.Photo) -> PhotoLine:
    """A photo in a list."""
    shape = row.width_px, row.height_px
    wide, high = reversed(shape) if row.turned in ("right", "left") else shape
    return PhotoLine(
        row.id,
        row.version,
        row.caption,
        row.taken_at,
        row.in_packet,
        row.position,
        wide,
        high,
        row.latitude_deg,
        row.longitude_deg,
        row.bearing_deg,
        tuple(kept(one) for one in row.facts.get("warnings", ())),
        row.original_name,
        row.sha256,
        row.turned,
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
