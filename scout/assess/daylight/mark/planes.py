"""One plane at a mark, ready to be asked about any instants: what pages that look over weeks and
years have in common.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from scout.assess.daylight.mark.marks import (
    UP,
    camera_normals,
    ground_of,
    no_mark,
    north_turn,
    to_true,
    unturned,
)
from scout.assess.daylight.place.where import Place, WallFacings, facings_of, place_of
from scout.assess.daylight.room.reckoned import LightRoom, light_room
from scout.assess.daylight.room.windows import skyline_of
from scout.calc.daylight.mark.clear_day import OpenSpot, RoomSpot, Spot
from scout.calc.daylight.mark.weights import open_ground
from scout.records.doorways import camera_doorway
from scout.records.sheet import RoomSheet
from scout.values import Said, said

Way = Literal["level", "camera"]


@dataclass(frozen=True)
class Plane:
    """A plane at a mark; what is not measured is taken as usual."""

    place: Place
    facings: WallFacings
    ground: float
    at_m: tuple[float, float, float]
    normal: tuple[float, float, float]  # in the plan
    turn_deg: float
    spot: Spot
    room: LightRoom | None  # None outdoors
    factor: float  # light under an overcast sky for each lux of it outdoors
    assumed: tuple[Said, ...]


def mark_of(sheet: RoomSheet, mark: str) -> tuple[float, float, float] | None:
    """The subject's or the camera's mark."""
    if sheet.marks is None:
        return None
    return sheet.marks.camera if mark == "camera" else sheet.marks.subject


def plane_at(
    sheet: RoomSheet, on: date, mark: str = "subject", way: Way = "camera"
) -> Plane | Said:
    """The plane at a mark ("subject" or "camera"), level or on the side the camera sees, or why
    there is none.

    on: the date for which a magnetic bearing that carries none is turned to true north
    """
    at = mark_of(sheet, mark)
    if at is None:
        return no_mark(mark)
    if mark == "camera" and camera_doorway(sheet.room, sheet.marks) is not None:
        return said("light.camera_outside")
    looks = (
        camera_normals(sheet.marks).get(mark, said("light.not_itself")) if way == "camera" else UP
    )
    if isinstance(looks, Said):
        return looks
    place, facings = place_of(sheet.location), facings_of(sheet, on)
    if place.unknown is not None:
        return place.unknown
    turn = north_turn(sheet, facings)
    if turn is None:
        return unturned(sheet, facings)
    ground, of_ground = ground_of(sheet)
    assumed = [*of_ground, *place.assumed, *facings.assumed]
    if sheet.room.setting == "exterior":
        points = skyline_of(None, sheet.room.skyline, assumed)
        skyline = None if points is None else tuple(points)
        true = to_true(looks, turn)
        weights = open_ground(skyline, true)
        spot: Spot = OpenSpot(true, skyline, (weights,))
        return Plane(
            place,
            facings,
            ground,
            at,
            looks,
            turn,
            spot,
            None,
            weights.overcast(ground),
            tuple(dict.fromkeys(assumed)),
        )
    room = light_room(sheet, facings, ((float(at[0]), float(at[1]), float(at[2])),), (looks,))
    if isinstance(room, Said):
        return room
    light = room.light.marks[0]
    assert light.reflected is not None
    factor = light.direct.overcast(ground) + light.reflected.overcast(ground)
    return Plane(
        place,
        facings,
        ground,
        at,
        looks,
        turn,
        RoomSpot(room.light, light, turn),
        room,
        factor,
        tuple(dict.fromkeys([*assumed, *room.assumed])),
    )
