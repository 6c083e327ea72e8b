"""Daylight at the marks: sky component, daylight factor, lux over the day under an overcast and a
clear sky, enough from and until.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scout.assess.answers import DaylightAnswer, LuxPoint, MarkDaylight, RangeFact, unmeasured
from scout.assess.daylight.doubt import Clear, Plane, PlaneDoubt, plane_doubt, range_note
from scout.assess.daylight.events import day_of
from scout.assess.daylight.place import Place, WallFacings, facings_of, place_of
from scout.assess.daylight.room import LightRoom, light_room
from scout.assess.daylight.scaling import Scale, scaled
from scout.assess.daylight.sources import Source, sources, taken_facts
from scout.assess.daylight.windows import skyline_of
from scout.calc.daylight.clear_day import OpenSpot, RoomSpot, Spot, clear_lux
from scout.calc.daylight.events import DayEvents
from scout.calc.daylight.local_date import local_time
from scout.calc.daylight.room_light import MarkLight, RoomLight, Weights, open_ground
from scout.calc.daylight.sky import OVERCAST, extraterrestrial_lux, sky_lux
from scout.calc.daylight.sun import SUNRISE_DEG, SunPosition, sun_position
from scout.calc.geometry import FloatArray, facing_deg, wall_letters
from scout.calc.light.exposure import FLAT_RECEPTOR_CONSTANT, needed_lux
from scout.records.doorways import camera_doorway
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
        self.at_s = steps if events.noon is None else np.append(steps, events.noon)
        self.at_steps = self.sun(self.at_s)
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
    sunlit: Clear | None = None


@dataclass(frozen=True)
class _Sides:
    """A plane as it is taken, at both ends of what is not measured, and the doubt of what is: under
    cloud, and down and up at each step under a clear sky.
    """

    usual: _Side
    bounds: tuple[_Side, _Side] | None = None
    doubt: PlaneDoubt | None = None
    clear_doubt: tuple[FloatArray, FloatArray] | None = None

    @property
    def ends(self) -> tuple[_Side, _Side]:
        return (self.usual, self.usual) if self.bounds is None else self.bounds

    @property
    def factor_range_pct(self) -> Range | None:
        if self.doubt is None:
            return None
        low, high = (side.factor for side in self.ends)
        wide = float(np.exp(self.doubt.overcast))
        return round(100.0 * low / wide, 4), round(100.0 * high * wide, 4)

    @property
    def facts(self) -> tuple[RangeFact, ...]:
        return () if self.doubt is None else self.doubt.facts

    @property
    def because(self) -> Said | None:
        if self.doubt is None or self.usual.factor <= 0:
            return None
        low, high = self.factor_range_pct or (0.0, 0.0)
        return range_note(self.facts, float(np.log(high / low)) / 2.0) if low > 0 else None


@dataclass(frozen=True)
class _Doubts:
    """What the doubt of every plane rests on."""

    sheet: RoomSheet
    facings: WallFacings
    ground: float
    room: LightRoom | None = None
    sources: tuple[Source, ...] = ()

    def of(
        self, number: int, plane: Plane, usual: _Side, bounds: tuple[_Side, _Side] | None = None
    ) -> _Sides:
        """A plane with its doubt."""
        taken = () if self.room is None else taken_facts(self.sheet, self.room, self.ground, number)
        doubt = plane_doubt(
            self.sheet,
            number,
            plane,
            self.sources,
            taken,
            self.facings.doubt_deg,
            self.ground,
            usual.sunlit,
        )
        if doubt.clear_down is None or doubt.clear_up is None or usual.clear is None:
            return _Sides(usual, bounds, doubt)
        shone = usual.sunlit
        assert shone is not None
        steps = []
        for half in (doubt.clear_down, doubt.clear_up):
            whole = np.zeros(len(usual.clear))
            whole[shone.up] = half
            steps.append(whole)
        return _Sides(usual, bounds, doubt, (steps[0], steps[1]))


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
    day = None if isinstance(events, Said) else _Day(events, place, on)
    looks = camera_normals(sheet.marks)
    turn = north_turn(sheet, facings)
    if sheet.room.setting == "exterior":
        rows = _outdoors(sheet, named, looks, facings, turn, day, ground)
    else:
        rows = _indoors(sheet, named, looks, facings, turn, day, ground)
    skies = () if day is None or needed is None else _overcast_day(day)
    rows = {
        name: _with_enough(scaled(_with_reasons(row, lost), scales), skies, day, needed)
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


def own_iso(kit: Kit | None) -> Figure | None:
    """The speed at which the camera needs what `needed_of` says: the kit's own."""
    camera = kit.camera if kit is not None else None
    return None if camera is None or camera.iso is None else Figure(camera.iso, "iso")


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
    at = tuple((float(x), float(y), float(z)) for x, y, z in places)
    room = light_room(sheet, facings, at, tuple(ways))
    if isinstance(room, Said):
        return {name: MarkDaylight(unknown=room) for name in named}
    rests_on = sources(sheet, facings, room, at, tuple(ways), ground)
    doubts = _Doubts(sheet, facings, ground, room, rests_on)
    no_sun = (
        said("light.no_clear", why=unturned(sheet, facings))
        if turn is None and room.light.glazing
        else None
    )
    facing_mark = {name: len(named) + k for k, name in enumerate(seen)}
    rows: dict[str, MarkDaylight] = {}
    for number, name in enumerate(named):
        row = _level_row(_in_room(doubts, number, turn, day), day, room.assumed, no_sun)
        if name in facing_mark:
            upright = _in_room(doubts, facing_mark[name], turn, day)
            rows[name] = _towards_camera(row, seen[name], upright, day)
        else:
            because = looks.get(name)
            rows[name] = replace(row, camera_unknown=because if isinstance(because, Said) else None)
    return rows


def _in_room(doubts: _Doubts, number: int, turn: float | None, day: _Day | None) -> _Sides:
    room, ground = doubts.room, doubts.ground
    assert room is not None

    def side(light: RoomLight) -> _Side:
        mark = light.marks[number]
        plane, sky = _plane(mark, ground), _sky_part(mark.direct)
        if not light.glazing:
            return _dark(plane.factor, sky, day)
        spot = None if turn is None else RoomSpot(light, mark, turn)
        return _lit_side(plane.factor, sky, spot, day, ground)

    usual = side(room.light)
    if not room.light.glazing:
        return _Sides(usual)
    bounds = None if room.bounds is None else (side(room.bounds[0]), side(room.bounds[1]))
    return doubts.of(number, _plane(room.light.marks[number], ground), usual, bounds)


def _plane(mark: MarkLight, ground: float) -> Plane:
    """The light of a plane under cloud, by its ways."""
    assert mark.reflected is not None
    straight, reflected = mark.direct.overcast(ground), mark.reflected.overcast(ground)
    whole = straight + reflected
    without = mark.direct.overcast(0.0) + mark.reflected.overcast(0.0)
    return Plane(straight, reflected, whole - without)


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
    azimuth, high = sun.azimuth_deg[up], sun.elevation_deg[up]
    sunlit = Clear(spot, light, up, day.at_s[up], azimuth, high, day.outside_lux)
    return _Side(factor, sky, overcast, lux, lit, sunlit)


def _level_row(
    sides: _Sides, day: _Day | None, assumed: tuple[Said, ...], because: Said | None
) -> MarkDaylight:
    """The figures of a level plane."""
    side = sides.usual
    points: tuple[LuxPoint, ...] = ()
    overcast, clear = _overcast(sides, day), _clear(sides, day)
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
        overcast_range_lux_noon=overcast.noon_range,
        clear_lux_noon=clear.noon,
        clear_range_lux_noon=clear.noon_range,
        series=points,
        range_from=sides.facts,
        range_because=sides.because,
    )


def _towards_camera(
    row: MarkDaylight, normal: Point, sides: _Sides, day: _Day | None
) -> MarkDaylight:
    """The row with the light on the side the camera sees beside the light on the level plane."""
    overcast, clear = _overcast(sides, day), _clear(sides, day)
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
        camera_overcast_range_lux_noon=overcast.noon_range,
        camera_clear_lux_noon=clear.noon,
        camera_clear_range_lux_noon=clear.noon_range,
        range_from=sides.facts,
        range_because=sides.because,
    )


@dataclass(frozen=True)
class _Through:
    """Lux at the steps of a day and at noon, each with its range."""

    usual: list[float | None]
    ranges: list[Range | None]
    noon: float | None
    noon_range: Range | None


def _overcast(sides: _Sides, day: _Day | None) -> _Through:
    half = 0.0 if sides.doubt is None else sides.doubt.overcast
    return _at_steps(sides, day, lambda side: side.overcast, np.array(half), np.array(half))


def _clear(sides: _Sides, day: _Day | None) -> _Through:
    nothing = np.array(0.0)
    down, up = sides.clear_doubt or (nothing, nothing)
    return _at_steps(sides, day, lambda side: side.clear, down, up)


def _at_steps(
    sides: _Sides,
    day: _Day | None,
    what: Callable[[_Side], FloatArray | None],
    down: FloatArray,
    up: FloatArray,
) -> _Through:
    if day is None:
        return _Through([], [], None, None)
    height = day.at_steps.elevation_deg
    usual = _shown(what(sides.usual), height)
    ends: list[Range | None] = [None] * len(usual)
    if sides.doubt is not None:
        low, high = (what(side) for side in sides.ends)
        lows = _shown(None if low is None else low * np.exp(-down), height)
        highs = _shown(None if high is None else high * np.exp(up), height)
        ends = [
            None if a is None or b is None else (a, b) for a, b in zip(lows, highs, strict=True)
        ]
    if day.events.noon is None:
        return _Through(usual, ends, None, None)
    return _Through(usual, ends, usual[-1], ends[-1])


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

    doubts = _Doubts(sheet, facings, ground)

    def side(way: Point) -> _Sides:
        weights = open_ground(skyline, way)
        spot = OpenSpot(way, skyline, (weights,))
        factor, sky = weights.overcast(ground), _sky_part(weights)
        usual = _lit_side(factor, sky, spot, day, ground)
        return doubts.of(0, Plane(factor, 0.0, factor - weights.overcast(0.0)), usual)

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
    changes: dict[str, Any] = {}
    for plane, factor, ends in (
        ("", row.daylight_factor_pct, row.daylight_factor_range_pct),
        ("camera_", row.camera_factor_pct, row.camera_factor_range_pct),
    ):
        start, until = _enough(factor, skies, day, needed)
        changes[f"{plane}enough_from"], changes[f"{plane}enough_until"] = start, until
        if ends is None or day is None or needed is None:
            continue
        dim, bright = (_enough(end, skies, day, needed) for end in ends)
        changes[f"{plane}enough_from_range"] = (bright[0], dim[0])
        changes[f"{plane}enough_until_range"] = (dim[1], bright[1])
    return replace(row, **changes)


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
