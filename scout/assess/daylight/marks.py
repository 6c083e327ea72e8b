"""Daylight at the marks: sky component, daylight factor, lux over the day under an overcast and a
clear sky, enough from and until.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

import numpy as np
from numpy.typing import NDArray

from scout.assess.answers import DaylightAnswer, LuxPoint, MarkDaylight, unmeasured
from scout.assess.daylight.events import day_of
from scout.assess.daylight.place import Place, WallFacings, facings_of, place_of
from scout.assess.daylight.room import LightRoom, light_room
from scout.assess.daylight.windows import skyline_of
from scout.calc.daylight.clear_day import OpenSpot, RoomSpot, Spot, clear_lux
from scout.calc.daylight.events import DayEvents
from scout.calc.daylight.local_date import local_time
from scout.calc.daylight.room_light import RoomLight, Weights, open_ground
from scout.calc.daylight.sky import OVERCAST, extraterrestrial_lux, sky_lux
from scout.calc.daylight.sun import SUNRISE_DEG, SunPosition, sun_position
from scout.calc.geometry import FloatArray, facing_deg, wall_letters
from scout.calc.light.exposure import FLAT_RECEPTOR_CONSTANT, needed_lux
from scout.records.sheet import DEFAULT_GROUND_REFLECTANCE, Kit, Marks, RoomSheet
from scout.values import Figure, Said, Word, said, words

STEP_S = 900.0
FINE_S = 60.0
NIGHT_DEG = -6.0
Point = tuple[float, float, float]
UP: Point = (0.0, 0.0, 1.0)
Range = tuple[float, float]


class _Day:
    """The sun over one local date, at the steps of the series and, last, at noon."""

    def __init__(self, events: DayEvents, place: Place, on: date) -> None:
        self.events, self.place, self.on = events, place, on
        steps = np.arange(events.spans[0][0], events.spans[-1][1], STEP_S)
        self.clocks = [self.clock(float(at)) for at in steps]
        self.at_steps = self.sun(steps if events.noon is None else np.append(steps, events.noon))
        self.outside_lux = extraterrestrial_lux(on)

    def sun(self, at_s: FloatArray) -> SunPosition[FloatArray]:
        return sun_position(at_s, **self.place.where)

    def clock(self, at_s: float) -> datetime:
        return local_time(at_s, self.place.zone)


@dataclass(frozen=True)
class _Side:
    """Light on one plane; through the day at its steps and at noon, where the date is known."""

    factor: float
    sky: float
    overcast: FloatArray | None = None
    clear: FloatArray | None = None
    lit: NDArray[np.bool_] | None = None


@dataclass(frozen=True)
class _Sides:
    """A plane as it is taken, and at both ends of what is not measured."""

    usual: _Side
    bounds: tuple[_Side, _Side] | None = None

    @property
    def factor_range_pct(self) -> Range | None:
        if self.bounds is None:
            return None
        low, high = (round(100.0 * side.factor, 4) for side in self.bounds)
        return low, high


def marks(sheet: RoomSheet, on: date) -> DaylightAnswer:
    """The daylight at every mark of the sheet on a local date, and from when to when it is enough
    for the camera.
    """
    needed, no_need = needed_of(sheet.kit)
    named = _named(sheet.marks)
    if not named:
        return DaylightAnswer(needed_lux=needed, unknown=no_mark("subject"))
    place, facings = place_of(sheet.location), facings_of(sheet, on)
    assumed = [said("light.skies"), said("light.planes"), said("light.no_twilight")]
    ground, of_ground = ground_of(sheet)
    assumed += of_ground
    events = day_of(place, on) if place.unknown is None else place.unknown
    lost = events if isinstance(events, Said) else None
    day = None if isinstance(events, Said) else _Day(events, place, on)
    looks = camera_normals(sheet.marks)
    turn = north_turn(sheet, facings)
    if sheet.room.setting == "exterior":
        rows = _outdoors(sheet, named, looks, facings, turn, day, ground)
    else:
        rows = _indoors(sheet, named, looks, facings, turn, day, ground)
    skies = () if day is None or needed is None else _overcast_day(day)
    rows = {
        name: _with_enough(_with_reasons(row, lost), skies, day, needed)
        for name, row in rows.items()
    }
    subject = rows.get("subject")
    start, end = (None, None) if subject is None else (subject.enough_from, subject.enough_until)
    return DaylightAnswer(
        marks=rows,
        needed_lux=needed,
        enough_from=start,
        enough_until=end,
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
    day: _Day | None,
    ground: float,
) -> dict[str, MarkDaylight]:
    seen = {name: way for name, way in looks.items() if not isinstance(way, Said)}
    places = [*named.values(), *(named[name] for name in seen)]
    ways = [*([UP] * len(named)), *seen.values()]
    room = light_room(
        sheet, facings, tuple((float(x), float(y), float(z)) for x, y, z in places), tuple(ways)
    )
    if isinstance(room, Said):
        return {name: MarkDaylight(unknown=room) for name in named}
    no_sun = (
        said("light.no_clear", why=unturned(sheet, facings))
        if turn is None and room.light.glazing
        else None
    )
    facing_mark = {name: len(named) + k for k, name in enumerate(seen)}
    rows: dict[str, MarkDaylight] = {}
    for number, name in enumerate(named):
        row = _level_row(_in_room(room, number, turn, day, ground), day, room.assumed, no_sun)
        if name in facing_mark:
            upright = _in_room(room, facing_mark[name], turn, day, ground)
            rows[name] = _towards_camera(row, seen[name], upright, day)
        else:
            because = looks.get(name)
            rows[name] = replace(row, camera_unknown=because if isinstance(because, Said) else None)
    return rows


def _in_room(
    room: LightRoom, number: int, turn: float | None, day: _Day | None, ground: float
) -> _Sides:
    def side(light: RoomLight) -> _Side:
        mark = light.marks[number]
        assert mark.reflected is not None
        factor = mark.direct.overcast(ground) + mark.reflected.overcast(ground)
        sky = _sky_part(mark.direct)
        if not light.glazing:
            return _dark(factor, sky, day)
        spot = None if turn is None else RoomSpot(light, mark, turn)
        return _lit_side(factor, sky, spot, day, ground)

    return _Sides(
        side(room.light),
        None if room.bounds is None else (side(room.bounds[0]), side(room.bounds[1])),
    )


def _dark(factor: float, sky: float, day: _Day | None) -> _Side:
    if day is None:
        return _Side(factor, sky)
    height = day.at_steps.elevation_deg
    none = np.zeros_like(height)
    return _Side(factor, sky, none, none, np.zeros(height.shape, dtype=bool))


def _lit_side(
    factor: float, sky: float, spot: Spot | None, day: _Day | None, ground: float
) -> _Side:
    """A plane through the day; its clear lux and whether the sun lights it are None without a
    facing (`spot`).
    """
    if day is None:
        return _Side(factor, sky)
    sun = day.at_steps
    overcast = factor * sky_lux(sun.elevation_deg, OVERCAST)
    if spot is None:
        return _Side(factor, sky, overcast)
    up = sun.geometric_elevation_deg > SUNRISE_DEG
    light = clear_lux(
        spot,
        sun.azimuth_deg[up],
        sun.elevation_deg[up],
        outside_lux=day.outside_lux,
        ground_reflectance=ground,
    )
    lit, lux = np.zeros(up.shape, dtype=bool), np.zeros(up.shape)
    lit[up], lux[up] = light.lit, light.lux
    return _Side(factor, sky, overcast, lux, lit)


def _level_row(
    sides: _Sides, day: _Day | None, assumed: tuple[Said, ...], because: Said | None
) -> MarkDaylight:
    """The figures of a level plane."""
    side = sides.usual
    points: tuple[LuxPoint, ...] = ()
    overcast = _at_steps(sides, day, lambda side: side.overcast)
    clear = _at_steps(sides, day, lambda side: side.clear)
    if day is not None:
        points = tuple(
            LuxPoint(
                at,
                overcast.usual[k],
                clear.usual[k],
                None if side.lit is None else bool(side.lit[k]),
                overcast_range_lux=overcast.ranges[k],
                clear_range_lux=clear.ranges[k],
            )
            for k, at in enumerate(day.clocks)
        )
    return MarkDaylight(
        assumed=assumed,
        unknown=because,
        daylight_factor_pct=round(100.0 * side.factor, 4),
        daylight_factor_range_pct=sides.factor_range_pct,
        sky_component_pct=round(100.0 * side.sky, 4),
        overcast_lux_noon=overcast.noon,
        clear_lux_noon=clear.noon,
        series=points,
    )


def _towards_camera(
    row: MarkDaylight, normal: Point, sides: _Sides, day: _Day | None
) -> MarkDaylight:
    """The row with the light on the side the camera sees beside the light on the level plane."""
    overcast = _at_steps(sides, day, lambda side: side.overcast)
    clear = _at_steps(sides, day, lambda side: side.clear)
    series = tuple(
        replace(
            level,
            camera_overcast_lux=overcast.usual[k],
            camera_clear_lux=clear.usual[k],
            camera_overcast_range_lux=overcast.ranges[k],
            camera_clear_range_lux=clear.ranges[k],
        )
        for k, level in enumerate(row.series)
    )
    x, y, z = (round(part, 6) for part in normal)
    return replace(
        row,
        series=series,
        camera_normal=(x, y, z),
        camera_factor_pct=round(100.0 * sides.usual.factor, 4),
        camera_factor_range_pct=sides.factor_range_pct,
        camera_overcast_lux_noon=overcast.noon,
        camera_clear_lux_noon=clear.noon,
    )


@dataclass(frozen=True)
class _Through:
    """Lux at the steps of a day, with its range, and at noon."""

    usual: list[float | None]
    ranges: list[Range | None]
    noon: float | None


def _at_steps(
    sides: _Sides, day: _Day | None, what: Callable[[_Side], FloatArray | None]
) -> _Through:
    if day is None:
        return _Through([], [], None)
    height = day.at_steps.elevation_deg
    usual = _shown(what(sides.usual), height)
    ends: list[Range | None] = [None] * len(usual)
    if sides.bounds is not None:
        low, high = (_shown(what(side), height) for side in sides.bounds)
        ends = [None if a is None or b is None else (a, b) for a, b in zip(low, high, strict=True)]
    has_noon = day.events.noon is not None
    return _Through(usual, ends, usual[-1] if has_noon else None)


def _shown(lux: FloatArray | None, height: FloatArray) -> list[float | None]:
    """Lux to a tenth; none in twilight, where the formulas do not reach, and 0 by night."""
    if lux is None:
        return [None] * len(height)
    return [
        None if NIGHT_DEG <= high <= 0.0 else round(value, 1) if high > 0 else 0.0
        for value, high in zip(lux.tolist(), height.tolist(), strict=True)
    ]


def _sky_part(weights: Weights) -> float:
    return Weights(
        weights.bearing_deg, weights.elevation_deg, weights.sky, 0.0, 0.0, weights.spreading
    ).overcast(0.0)


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
    day: _Day | None,
    ground: float,
) -> dict[str, MarkDaylight]:
    assumed = [said("light.open_ground")]
    points = skyline_of(None, sheet.room.skyline, assumed)
    skyline = None if points is None else tuple(points)

    def side(way: Point) -> _Sides:
        weights = open_ground(skyline, way)
        spot = OpenSpot(way, skyline, (weights,))
        factor, sky = weights.overcast(ground), _sky_part(weights)
        return _Sides(_lit_side(factor, sky, spot, day, ground))

    row = _level_row(side(UP), day, tuple(assumed), None)
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
            rows[name] = _towards_camera(row, way, side(to_true(way, turn)), day)
    return rows


def to_true(way: tuple[float, float, float], turn_deg: float) -> tuple[float, float, float]:
    """A direction of the plan as east, north, up, the plan's y axis lying turn_deg clockwise of
    north.
    """
    c, s = float(np.cos(np.radians(turn_deg))), float(np.sin(np.radians(turn_deg)))
    return way[0] * c + way[1] * s, way[1] * c - way[0] * s, way[2]


# -- enough
_Skies = tuple[tuple[FloatArray, FloatArray, FloatArray], ...]


def _overcast_day(day: _Day) -> _Skies:
    """For each span of the date, minute by minute: instants, the sun's height, and what an overcast
    sky sends onto open ground.
    """
    found = []
    for start, end in day.events.spans:
        at = np.append(np.arange(start, end, FINE_S), end)
        height = day.sun(at).elevation_deg
        found.append((at, height, sky_lux(height, OVERCAST)))
    return tuple(found)


def _with_enough(
    row: MarkDaylight, skies: _Skies, day: _Day | None, needed: float | None
) -> MarkDaylight:
    level, side = (
        _enough(factor, skies, day, needed)
        for factor in (row.daylight_factor_pct, row.camera_factor_pct)
    )
    return replace(
        row,
        enough_from=level[0],
        enough_until=level[1],
        camera_enough_from=side[0],
        camera_enough_until=side[1],
    )


def _enough(
    factor_pct: float | None, skies: _Skies, day: _Day | None, needed: float | None
) -> tuple[datetime | None, datetime | None]:
    """First and last instant of the date at which an overcast sky brings what is needed; None where
    it never does, or that is not known.
    """
    if factor_pct is None or day is None or needed is None:
        return None, None
    enough: list[float] = []
    for at, height, open_lux in skies:
        over = factor_pct / 100.0 * open_lux - needed
        bright = over >= 0
        enough += at[bright].tolist()
        index = np.flatnonzero((bright[1:] != bright[:-1]) & (height[1:] > 0) & (height[:-1] > 0))
        enough += (
            at[index] + (at[index + 1] - at[index]) * over[index] / (over[index] - over[index + 1])
        ).tolist()
    return (day.clock(min(enough)), day.clock(max(enough))) if enough else (None, None)
