"""Daylight at the marks: sky component, daylight factor, lux over the day under an overcast and a
clear sky, enough from and until.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from types import MappingProxyType

import numpy as np

from scout.assess.answers import DaylightAnswer, MarkDaylight, unmeasured
from scout.assess.daylight.mark.day import Day, Doubts, Point, Sides, in_room, lit_sides
from scout.assess.daylight.mark.doubt import Plane
from scout.assess.daylight.mark.rows import level_row, overcast_day, towards_camera, with_enough
from scout.assess.daylight.mark.scaling import Scale, scaled
from scout.assess.daylight.place.events import day_of
from scout.assess.daylight.place.where import WallFacings, facings_of, place_of
from scout.assess.daylight.room.reckoned import light_room
from scout.assess.daylight.room.sources import sources
from scout.assess.daylight.room.windows import skyline_of
from scout.calc.daylight.mark.clear_day import OpenSpot
from scout.calc.daylight.mark.weights import open_ground
from scout.calc.geometry import facing_deg, wall_letters
from scout.calc.light.exposure import FLAT_RECEPTOR_CONSTANT, needed_lux
from scout.records.doorways import camera_doorway
from scout.records.sheet import DEFAULT_GROUND_REFLECTANCE, Kit, Marks, RoomSheet
from scout.values import Figure, Said, Word, said, words

UP: Point = (0.0, 0.0, 1.0)


def marks(
    sheet: RoomSheet, on: date, scales: Mapping[str, Scale] = MappingProxyType({})
) -> DaylightAnswer:
    """The daylight at every mark of the sheet on a local date, and from when to when it is enough
    for the camera. scales: by kind of sky, what readings make of it.
    """
    needed, no_need = needed_of(sheet.kit)
    named = _named(sheet.marks)
    outside = "camera" in named and camera_doorway(sheet.room, sheet.marks) is not None
    if outside:
        del named["camera"]
    if not named:
        return DaylightAnswer(needed_lux=needed, unknown=no_mark("subject"))
    place, facings = place_of(sheet.location), facings_of(sheet, on)
    assumed = [said("light.skies"), said("light.planes"), said("light.no_twilight")]
    ground, of_ground = ground_of(sheet)
    assumed += of_ground
    events = day_of(place, on) if place.unknown is None else place.unknown
    lost = events if isinstance(events, Said) else None
    day = None if isinstance(events, Said) else Day(events, place, on)
    looks = camera_normals(sheet.marks)
    turn = north_turn(sheet, facings)
    if sheet.room.setting == "exterior":
        rows = _outdoors(sheet, named, looks, facings, turn, day, ground)
    else:
        rows = _indoors(sheet, named, looks, facings, turn, day, ground)
    skies = () if day is None or needed is None else overcast_day(day)
    rows = {
        name: with_enough(scaled(_with_reasons(row, lost), scales), skies, day, needed)
        for name, row in rows.items()
    }
    if outside:
        rows["camera"] = MarkDaylight(unknown=said("light.camera_outside"))
    subject = rows.get("subject", MarkDaylight())
    return DaylightAnswer(
        marks=rows,
        needed_lux=needed,
        enough_from=subject.enough_from,
        enough_until=subject.enough_until,
        enough_from_range=subject.enough_from_range,
        enough_until_range=subject.enough_until_range,
        assumed=(*assumed, *place.assumed),
        unknown=no_need or (None if "subject" in named else no_mark("subject")),
    )


def no_mark(mark: str) -> Said:
    """Why nothing is known at a mark that is not given."""
    return said("light.no_mark", mark=Word("fact", f"marks.{mark}"))


def ground_of(sheet: RoomSheet) -> tuple[float, tuple[Said, ...]]:
    """The reflectance of the ground outside, and what is said of it where it is not recorded."""
    given = sheet.location.ground_reflectance if sheet.location is not None else None
    if given is not None:
        return given, ()
    share = Figure(100 * DEFAULT_GROUND_REFLECTANCE, "%")
    return DEFAULT_GROUND_REFLECTANCE, (said("light.ground", share=share),)


def camera_facts(kit: Kit | None) -> tuple[str, ...]:
    """Paths of what the camera's need of light wants to know and is not given."""
    camera = kit.camera if kit is not None else None
    return tuple(
        f"kit.camera.{name}"
        for name in ("iso", "f_number", "shutter_s")
        if camera is None or getattr(camera, name) is None
    )


def needed_of(kit: Kit | None) -> tuple[float | None, Said | None]:
    """The lux the camera needs by ISO 2720, or why that is not known."""
    if missing := camera_facts(kit):
        return None, said("light.no_need", facts=words("fact", missing))
    assert kit is not None
    camera = kit.camera
    assert camera is not None
    assert camera.iso is not None
    assert camera.f_number is not None
    assert camera.shutter_s is not None
    constant = float(kit.exposure_constant or FLAT_RECEPTOR_CONSTANT)
    lux = float(needed_lux(camera.f_number, camera.shutter_s, camera.iso, constant))
    return round(lux, 2), None


def own_setting(kit: Kit | None) -> Said | None:
    """The exposure for which the camera needs what `needed_of` says: the kit's own, without ND."""
    if kit is None or kit.camera is None or camera_facts(kit):
        return None
    camera = kit.camera
    return said(
        "light.setting",
        iso=Figure(camera.iso or 0.0, "iso"),
        stop=Figure(camera.f_number or 0.0, "f"),
        shutter=Figure(camera.shutter_s or 0.0, "shutter_s"),
    )


def _named(given: Marks | None) -> dict[str, Point]:
    if given is None:
        return {}
    named: dict[str, Point] = {}
    if given.subject is not None:
        named["subject"] = given.subject
    if given.camera is not None:
        named["camera"] = given.camera
    for number, point in enumerate(given.path or (), start=1):
        named[f"path {number}"] = point
    return named


def camera_normals(given: Marks | None) -> dict[str, Point | Said]:
    """The way the side that the camera sees looks at each mark but the camera's own, or why it is
    not known.

    The subject's face where its direction is recorded, else level towards the camera.
    """
    ways: dict[str, Point | Said] = {}
    for name, point in _named(given).items():
        assert given is not None
        if name == "camera":
            continue
        if name == "subject" and given.subject_normal is not None:
            length = float(np.linalg.norm(given.subject_normal))
            x, y, z = (part / length for part in given.subject_normal)
            ways[name] = (x, y, z)
        elif given.camera is None:
            ways[name] = said("light.no_side", why=no_mark("camera"))
        else:
            across = (given.camera[0] - point[0], given.camera[1] - point[1])
            away = float(np.hypot(*across))
            ways[name] = (
                (across[0] / away, across[1] / away, 0.0)
                if away > 1e-6
                else said("light.straight_up")
            )
    return ways


def _with_reasons(row: MarkDaylight, lost: Said | None) -> MarkDaylight:
    """The row with the first reason that keeps figures from it: no date, no facing, no noon."""
    if row.daylight_factor_pct is None:
        return row
    because = lost or row.unknown
    if because is None and row.overcast_lux_noon is None:
        because = said("light.noon_in_twilight")
    return replace(row, unknown=because)


def _indoors(
    sheet: RoomSheet,
    named: Mapping[str, Point],
    looks: Mapping[str, Point | Said],
    facings: WallFacings,
    turn: float | None,
    day: Day | None,
    ground: float,
) -> dict[str, MarkDaylight]:
    seen = {name: way for name, way in looks.items() if not isinstance(way, Said)}
    places = [*named.values(), *(named[name] for name in seen)]
    ways = [*([UP] * len(named)), *seen.values()]
    at = tuple((float(x), float(y), float(z)) for x, y, z in places)
    room = light_room(sheet, facings, at, tuple(ways), bounded=True)
    if isinstance(room, Said):
        return {name: MarkDaylight(unknown=room) for name in named}
    rests_on = sources(sheet, facings, room, at, tuple(ways), ground)
    doubts = Doubts(sheet, facings, ground, room, rests_on)
    no_sun = (
        said("light.no_clear", why=unturned(sheet, facings))
        if turn is None and room.light.glazing
        else None
    )
    facing_mark = {name: len(named) + k for k, name in enumerate(seen)}
    sides = in_room(doubts, turn, day)
    rows: dict[str, MarkDaylight] = {}
    for number, name in enumerate(named):
        row = level_row(sides[number], day, room.assumed, no_sun)
        if name in facing_mark:
            rows[name] = towards_camera(row, seen[name], sides[facing_mark[name]], day)
        else:
            because = looks.get(name)
            rows[name] = replace(row, camera_unknown=because if isinstance(because, Said) else None)
    return rows


def north_turn(sheet: RoomSheet, facings: WallFacings) -> float | None:
    """What to add to a bearing from the plan's y axis to make it true, or None when facing is not
    known.
    """
    corners, facing = sheet.room.corners_m, sheet.room.facing
    if corners is None or facing is None or facing.wall not in facings.true_deg:
        return None
    number = wall_letters(len(corners)).index(facing.wall)
    from_north = facing_deg(corners, number, facings.true_deg[facing.wall])
    outward = np.degrees(np.arctan2(*_outward(corners, number)))
    return float(from_north[number] - outward)


def _outward(corners: tuple[tuple[float, float], ...], number: int) -> tuple[float, float]:
    (x0, y0), (x1, y1) = corners[number], corners[(number + 1) % len(corners)]
    return -(y1 - y0), x1 - x0


def unturned(sheet: RoomSheet, facings: WallFacings) -> Said:
    """Why the plan cannot be turned to true north."""
    return facings.unknown or unmeasured(
        "room.plan_m" if sheet.room.corners_m is None else "room.facing"
    )


def _outdoors(
    sheet: RoomSheet,
    named: Mapping[str, Point],
    looks: Mapping[str, Point | Said],
    facings: WallFacings,
    turn: float | None,
    day: Day | None,
    ground: float,
) -> dict[str, MarkDaylight]:
    assumed = [said("light.open_ground")]
    points = skyline_of(None, sheet.room.skyline, assumed)
    skyline = None if points is None else tuple(points)

    doubts = Doubts(sheet, facings, ground)

    def side(way: Point) -> Sides:
        weights = open_ground(skyline, way)
        spot = OpenSpot(way, skyline, (weights,))
        factor, sky = weights.overcast(ground), weights.overcast_sky
        (usual,) = lit_sides([(factor, sky)], [spot], day, ground)
        return doubts.of(0, Plane(factor, 0.0, factor - weights.overcast(0.0)), usual)

    row = level_row(side(UP), day, tuple(assumed), None)
    rows: dict[str, MarkDaylight] = {}
    for name in named:
        way = looks.get(name)
        if isinstance(way, Said) or way is None:
            rows[name] = replace(row, camera_unknown=way)
        elif turn is None:
            rows[name] = replace(
                row, camera_unknown=said("light.no_side", why=unturned(sheet, facings))
            )
        else:
            rows[name] = towards_camera(row, way, side(to_true(way, turn)), day)
    return rows


def to_true(way: tuple[float, float, float], turn_deg: float) -> tuple[float, float, float]:
    """A direction of the plan as east, north, up, the plan's y axis lying turn_deg clockwise of
    north.
    """
    c, s = float(np.cos(np.radians(turn_deg))), float(np.sin(np.radians(turn_deg)))
    return way[0] * c + way[1] * s, way[1] * c - way[0] * s, way[2]
