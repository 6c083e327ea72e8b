"""A room recorded or gone on with by somebody who walks through it: what a phone kept arrives late,
and is merged with what others recorded meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from scout.errors import ScoutError
from scout.records import LocationRecord, Measurement, RoomRecord, RoomSheet
from scout.records.merge import Conflict, merge, relabelled, with_labels
from scout.store import models, translate
from scout.store.queries import places as queries
from scout.usecases import lines, locations, roles, rooms, sheets
from scout.usecases.work import Work

# what a walk may say of the place that its room is in
OF_THE_PLACE = (
    "latitude_deg",
    "longitude_deg",
    "contacts",
    "parking_distance_m",
    "load_in",
    "hazards",
    "phone_signal",
    "emergency_care",
)
Plain = Mapping[str, Any]


class Contradiction(ScoutError):
    """Somebody else recorded other facts meanwhile; nothing of the walk is kept until it is settled
    which are right.
    """

    def __init__(self, conflicts: tuple[Conflict, ...]) -> None:
        super().__init__(str(len(conflicts)))
        self.conflicts = conflicts


def of_place(place: models.Location) -> dict[str, Any]:
    """What a walk may say of a place, as it is recorded."""
    plain = translate.plain_of(place, LocationRecord)
    return {key: plain[key] for key in OF_THE_PLACE if key in plain}


def at_place(work: Work, location_id: int) -> dict[str, Any]:
    """What a walk through a new room begins with. Raises NotFound."""
    return {"place": of_place(queries.location(work.db, location_id))}


def in_room(work: Work, room_id: int) -> dict[str, Any]:
    """What a walk through a room that is recorded begins with. Raises NotFound."""
    row = queries.room(work.db, room_id)
    marks = {"marks": row.marks} if row.marks else {}
    return {"room": translate.room_plain(row), **marks, "place": of_place(row.location)}


def keep_walk(
    work: Work,
    sheet: RoomSheet,
    location_id: int,
    places: tuple[Plain, Plain],
    there: Callable[[int], str],
) -> int:
    """Record the room that somebody walked through with a phone; returns its key.

    places: what was recorded of its place when the walk began, and what the walk made of it
    there:  the room's address by its key; kept with the name the walk was sent under, so that photos
            which come later find the room whatever happened to the first answer
    Raises NotFound, RefusedMany, Contradiction.
    """
    row = sheets.put_sheet(work, sheet, location_id)
    merged = _merged({"place": places[0]}, {"place": places[1]}, at_place(work, location_id))
    _put_place(work, row.location, merged["place"])
    work.there = there(row.id)
    work.commit()
    return row.id


def walk_on(
    work: Work,
    room_id: int,
    base: Plain,
    yours: Plain,
    measured: tuple[Measurement, ...],
    there: str,
) -> None:
    """Record what somebody changed who walked through a room again, and nothing else.

    base:  what `in_room` gave when the walk began; `yours`: what the walk made of it
    Raises NotFound, RefusedMany, Contradiction.
    """
    row = queries.room(work.db, room_id)
    theirs = in_room(work, room_id)
    rooms_of = [doc.get("room") or {} for doc in (base, yours, theirs)]
    labels = relabelled(*rooms_of)
    merged = _merged(base, {**yours, "room": with_labels(rooms_of[1], labels)}, theirs)
    rooms.put_changes(
        work, row, RoomRecord.read(merged.get("room") or {}, "room"), merged.get("marks") or None
    )
    _put_place(work, row.location, merged.get("place") or {})
    for measurement in measured:
        kind, *rest = measurement.path.split(".")
        if rest:
            rest[0] = labels.get(rest[0], rest[0])
        path = ".".join((kind, *rest))
        made = models.Measurement(room_id=room_id)
        translate.fill(made, measurement.model_copy(update={"path": path}))
        work.add(made, f"{path} of {lines.room_name(row)} measured")
    work.there = there
    work.commit()
    work.db.expire_all()


def _merged(base: Plain, yours: Plain, theirs: Plain) -> dict[str, Any]:
    here, now = (dict(doc.get("place") or {}) for doc in (base, theirs))
    position = ("latitude_deg", "longitude_deg")
    if not any(key in here for key in position) and any(key in now for key in position):
        # two phones at one place never read the same: the first position stands
        yours = {**yours, "place": {**(yours.get("place") or {}), **{k: now[k] for k in position}}}
    merged = merge(base, yours, theirs)
    if merged.conflicts:
        raise Contradiction(merged.conflicts)
    return {"place": {}, **merged.plain}


def _put_place(work: Work, place: models.Location, plain: Plain) -> None:
    if plain == of_place(place):
        return
    roles.need(work, "change", "location")
    whole = translate.plain_of(place, LocationRecord)
    kept = {key: value for key, value in whole.items() if key not in OF_THE_PLACE}
    record = LocationRecord.read({**kept, **plain}, "location")
    locations.check_position(record)
    translate.fill(place, locations.with_zone(record))
    work.changed(place, f"{place.name} changed on a walk")
