"""Room sheets out and in: a room travels as one JSON document."""

from __future__ import annotations

from typing import Any

from scout.assess.choice.way_in import OF_PLACE
from scout.errors import Refused, RefusedMany
from scout.records import (
    LocationRecord,
    Measurement,
    RoomRecord,
    RoomSheet,
    SheetLocation,
    marks_refusals,
)
from scout.records.sheet import WayIn
from scout.store import models, translate
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases import lines, locations, rooms
from scout.usecases.work import Work
from scout.values import said

MEASUREMENTS = (
    "measurements"  # under "extra": who measured what, which the sheet itself has no key for
)
# what may be measured again without its being another place
WAY_IN = {*OF_PLACE.values(), "lift_width_m", "lift_depth_m"}


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
    row = rooms.put_room(work, place, _with_way_in(sheet, place))
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


def _with_way_in(sheet: RoomSheet, place: models.Location) -> RoomRecord:
    """The sheet's room at a place: what the sheet says of the place's way in and the place does not
    know is kept as the room's own, so that nothing of it is lost; the place's own facts stand.
    """
    there, own = sheet.location, sheet.room.way_in or WayIn()
    if there is None or there.name not in (None, place.name):
        return sheet.room  # of another place
    more = {
        fact: getattr(there, of_place)
        for fact, of_place in OF_PLACE.items()
        if getattr(own, fact) is None
        and getattr(place, of_place) is None
        and getattr(there, of_place) is not None
    }
    if not more:
        return sheet.room
    way = WayIn.read({**own.model_dump(mode="json", exclude_none=True), **more}, "room.way_in")
    return sheet.room.model_copy(update={"way_in": way})


def _measurements(sheet: RoomSheet) -> list[Measurement]:
    measured = (sheet.extra or {}).get(MEASUREMENTS)
    if measured is None:
        return []
    if not isinstance(measured, list):
        raise RefusedMany([Refused(f"extra.{MEASUREMENTS}", None, said("kept.no_measurements"))])
    return [Measurement.read(item, f"extra.{MEASUREMENTS}[{i}]") for i, item in enumerate(measured)]


def _location_for(work: Work, location: SheetLocation | None) -> models.Location:
    """The living location of the same name that nothing in the sheet contradicts, else a new one; a
    place without a name is a new one. A way in that was measured again makes no other place.
    """
    plain = location.model_dump(mode="json", exclude_none=True) if location else {}
    if "name" in plain:
        for row in queries.named(work.db, plain["name"]):
            same = (getattr(row, key) == plain[key] for key in plain if key not in WAY_IN)
            if all(same):
                return row
    record = LocationRecord.read({"name": "Unnamed location", **plain}, "location")
    return locations.put_location(work, record)
