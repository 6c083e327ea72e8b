"""Room sheets out and in: a room travels as one JSON document."""

from __future__ import annotations

from typing import Any

from scout.errors import Refused, RefusedMany
from scout.records import LocationRecord, Measurement, RoomSheet, SheetLocation, marks_refusals
from scout.store import models, translate
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases import lines, locations, rooms
from scout.usecases.work import Work
from scout.values import said

MEASUREMENTS = (
    "measurements"  # under "extra": who measured what, which the sheet itself has no key for
)


def export_sheet(work: Work, room_id: int, production_id: int | None = None) -> RoomSheet:
    """The sheet of a room, with the kit of a production if one is named. Raises NotFound."""
    return sheet_of(work, queries.room(work.db, room_id), production_id)


def sheet_of(work: Work, row: models.Room, production_id: int | None = None) -> RoomSheet:
    """The sheet of a room's row."""
    place: LocationRecord = translate.to_record(row.location)
    plain: dict[str, Any] = {
        "schema": "room-sheet/1",
        "location": place.sheet_location.model_dump(mode="json", exclude_none=True),
        "room": translate.room_plain(row),
    }
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
    """Record the room of a sheet, at a known location or at one made from the sheet; returns the
    room's key.

    The sheet's kit belongs to a production and is not taken; `scout import` says so. Everything is
    kept, or nothing. Raises NotFound, RefusedMany.
    """
    row = put_sheet(work, sheet, location_id)
    work.commit()
    return row.id


def put_sheet(work: Work, sheet: RoomSheet, location_id: int | None) -> models.Room:
    """The row of a sheet's room with all that comes with it; nothing is committed."""
    measurements = _measurements(sheet)
    if sheet.marks is not None and (refusals := tuple(marks_refusals(sheet.room, sheet.marks))):
        raise RefusedMany(refusals)
    place = (
        queries.location(work.db, location_id)
        if location_id is not None
        else _location_for(work, sheet.location)
    )
    row = rooms.put_room(work, place, sheet.room)
    row.marks = (
        sheet.marks.model_dump(mode="json", exclude_none=True) or None
        if sheet.marks is not None
        else None
    )
    row.extra = {
        key: value for key, value in (sheet.extra or {}).items() if key != MEASUREMENTS
    } or None
    for measurement in measurements:
        made = models.Measurement(room_id=row.id)
        translate.fill(made, measurement)
        work.add(made, f"{measurement.path} of {lines.room_name(row)} measured")
    return row


def _measurements(sheet: RoomSheet) -> list[Measurement]:
    measured = (sheet.extra or {}).get(MEASUREMENTS)
    if measured is None:
        return []
    if not isinstance(measured, list):
        raise RefusedMany([Refused(f"extra.{MEASUREMENTS}", None, said("kept.no_measurements"))])
    return [Measurement.read(item, f"extra.{MEASUREMENTS}[{i}]") for i, item in enumerate(measured)]


def _location_for(work: Work, location: SheetLocation | None) -> models.Location:
    """The living location of the same name that nothing in the sheet contradicts, else a new one; a
    place without a name is a new one.
    """
    plain = location.model_dump(mode="json", exclude_none=True) if location else {}
    if "name" in plain:
        for row in queries.named(work.db, plain["name"]):
            if all(getattr(row, key) == value for key, value in plain.items()):
                return row
    record = LocationRecord.read({"name": "Unnamed location", **plain}, "location")
    return locations.put_location(work, record)
