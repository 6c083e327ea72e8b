"""Room sheets out and in: a room travels as one JSON document."""

from __future__ import annotations

from typing import Any

from scout.errors import Refused, RefusedMany
from scout.records import LocationRecord, Marks, Measurement, RoomSheet, SheetLocation
from scout.records.checks import read_sheet
from scout.store import models, translate
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases import lines, locations, rooms
from scout.usecases.work import Work

MEASUREMENTS = "measurements"  # under "extra": who measured what, which the sheet itself has no key for


def export_sheet(work: Work, room_id: int, production_id: int | None = None) -> RoomSheet:
    """The sheet of a room, with the kit of a production if one is named. Raises NotFound."""
    return sheet_of(work, queries.room(work.db, room_id), production_id)


def sheet_of(work: Work, row: models.Room, production_id: int | None = None) -> RoomSheet:
    """The sheet of a room's row."""
    place: LocationRecord = translate.to_record(row.location)
    plain: dict[str, Any] = {"schema": "room-sheet/1", "location": place.sheet_location.model_dump(mode="json", exclude_none=True),
                             "room": translate.room_plain(row)}
    if row.marks:
        plain["marks"] = row.marks
    kit = jobs.production(work.db, production_id).kit if production_id is not None else None
    if kit:
        plain["kit"] = kit
    extra = dict(row.extra or {})
    measured = [translate.plain_of(m, Measurement) for m in row.measurements]
    if measured:
        extra[MEASUREMENTS] = measured
    if extra:
        plain["extra"] = extra
    return RoomSheet.model_validate(plain)


def import_sheet(work: Work, sheet: RoomSheet, location_id: int | None = None) -> int:
    """Record the room of a sheet, at a known location or at one made from the sheet; returns the room's key.

    The sheet's kit belongs to a production and is not taken; `scout import` says so. Raises RefusedMany.
    """
    if location_id is None:
        location_id = _location_for(work, sheet.location)
    measured = (sheet.extra or {}).get(MEASUREMENTS)
    records = []
    if measured is not None:
        if not isinstance(measured, list):
            raise RefusedMany([Refused(f"extra.{MEASUREMENTS}", None, "is not a list of measurements")])
        records = [Measurement.read(item, f"extra.{MEASUREMENTS}[{i}]") for i, item in enumerate(measured)]
    room_id = rooms.add_room(work, location_id, sheet.room)
    row = queries.room(work.db, room_id)
    if sheet.marks is not None:
        row.marks = Marks.model_validate(sheet.marks.model_dump(mode="json")).model_dump(mode="json", exclude_none=True) or None
    row.extra = {key: value for key, value in (sheet.extra or {}).items() if key != MEASUREMENTS} or None
    for record in records:
        made = models.Measurement(room_id=room_id)
        translate.fill(made, record)
        work.add(made, f"{record.path} of {lines.room_name(row)} measured")
    work.changed(row, f"room {lines.room_name(row)} read from a room sheet")
    work.commit()
    return room_id


def _location_for(work: Work, location: SheetLocation | None) -> int:
    """The living location of the same name and position, else a new one."""
    plain = location.model_dump(mode="json", exclude_none=True) if location else {}
    name = plain.get("name") or "Unnamed location"
    for row, _count in work.db.execute(queries.locations("")):
        if row.name == name and row.latitude_deg == plain.get("latitude_deg") and row.longitude_deg == plain.get("longitude_deg"):
            key: int = row.id
            return key
    return locations.add_location(work, LocationRecord.read({**plain, "name": name}, "location"))


def read_json(data: bytes | str) -> RoomSheet:
    """A sheet from outside. Raises RefusedMany with every path."""
    return read_sheet(data)
