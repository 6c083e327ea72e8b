"""Daylight at the marks: sky component, daylight factor, lux over the day under an overcast and a
clear sky, enough from and until.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime

import numpy as np
from numpy.typing import NDArray

from scout.assess.answers import DaylightAnswer, LuxPoint, MarkDaylight
from scout.assess.daylight.events import day_of
from scout.assess.daylight.place import Place, WallFacings, facings_of, place_of
from scout.assess.daylight.room import DARK, PALE, LightRoom, light_room
from scout.assess.daylight.windows import skyline_of
from scout.calc.daylight.clear_day import OpenSpot, RoomSpot, clear_lux
from scout.calc.daylight.events import DayEvents
from scout.calc.daylight.local_date import local_time
from scout.calc.daylight.room_light import MarkLight, RoomLight, Weights, open_ground
from scout.calc.daylight.sky import OVERCAST, extraterrestrial_lux, sky_lux
from scout.calc.daylight.sun import SUNRISE_DEG, SunPosition, sun_position
from scout.calc.geometry import FloatArray, facing_deg, wall_letters
from scout.calc.light.exposure import FLAT_RECEPTOR_CONSTANT, needed_lux
from scout.records.sheet import DEFAULT_GROUND_REFLECTANCE, Kit, Marks, RoomSheet

STEP_S = 900.0
FINE_S = 60.0
NIGHT_DEG = -6.0
SKIES = (
    "overcast: CIE standard overcast sky; clear: CIE standard clear sky (type 12) and direct sun; how bright each is follows the IES availability practice: "
    "means, an instant may be half or double",
    "lux is on a level plane at the mark, and on the side that the camera sees (upright, or the way the face looks)",
    "between sunset and the end of civil twilight no figure is given",
)
NO_NOON = "because at noon the sun is not up and it is twilight, for which there is no figure"
Marked = dict[str, tuple[float, float, float]]


@dataclass(frozen=True)
class _Day:
    """The sun over one local date."""

    events: DayEvents
    place: Place
    on: date
    reflectance: float  # of the ground

    def sun(self, at_s: FloatArray) -> SunPosition[FloatArray]:
        return sun_position(
            at_s,
            latitude_deg=self.place.latitude_deg,
            longitude_deg=self.place.longitude_deg,
            elevation_m=self.place.elevation_m,
        )

    def clock(self, at_s: float) -> datetime:
        return local_time(at_s, self.place.zone)


def marks(sheet: RoomSheet, on: date) -> DaylightAnswer:
    """The daylight at every mark of the sheet on a local date, and from when to when it is enough
    for the camera.
    """
    needed, no_need = needed_of(sheet.kit)
    named = _named(sheet.marks)
    if not named:
        return DaylightAnswer(needed_lux=needed, unknown="because no mark is given")
    place, facings = place_of(sheet.location), facings_of(sheet, on)
    assumed = [*SKIES]
    ground = sheet.location.ground_reflectance if sheet.location is not None else None
    if ground is None:
        ground = DEFAULT_GROUND_REFLECTANCE
        assumed.append(
            f"the ground outside is taken to reflect {ground:g}: deep in a room a third of the daylight comes from it"
        )
    found = day_of(place, on) if place.unknown is None else place.unknown
    day = _Day(found, place, on, ground) if isinstance(found, DayEvents) else None
    lost = None if isinstance(found, DayEvents) else found
    looks = camera_normals(sheet.marks)
    if sheet.room.setting == "exterior":
        rows, factors = _outdoors(sheet, named, looks, facings, day, lost, ground)
    else:
        rows, factors = _indoors(sheet, named, looks, facings, day, lost, ground)
    skies = () if day is None or needed is None else _overcast_day(day)
    rows = {
        name: _with_enough(_with_stops(row, needed), skies, day, factors.get(name), needed)
        for name, row in rows.items()
    }
    enough = _enough(factors.get("subject"), skies, day, needed)
    if enough is not None and enough[0] is None and needed is not None:
        assumed.append(
            f"an overcast sky never brings the {needed:.0f} lux the camera needs at the subject on this date"
        )
    elif enough is not None:
        assumed.append("enough from and until are for an overcast sky, the lesser of the two")
    start, end = enough or (None, None)
    because = no_need or (
        None
        if "subject" in named
        else "because no subject mark is given, so enough from and until are not known"
    )
    return DaylightAnswer(
        marks=rows,
        needed_lux=needed,
        enough_from=start,
        enough_until=end,
        assumed=(*assumed, *place.assumed),
        unknown=because,
    )


def needed_of(kit: Kit | None) -> tuple[float | None, str | None]:
    """The lux the camera needs by ISO 2720, or why that is not known."""
    camera = kit.camera if kit is not None else None
    if (
        kit is None
        or camera is None
        or camera.iso is None
        or camera.f_number is None
        or camera.shutter_s is None
    ):
        given = {
            "ISO": camera and camera.iso,
            "aperture": camera and camera.f_number,
            "shutter": camera and camera.shutter_s,
        }
        missing = [name for name, value in given.items() if value is None]
        return (
            None,
            f"because the camera's {', '.join(missing)} {'are' if len(missing) > 1 else 'is'} not given, so the light it needs is not known",
        )
    constant = float(kit.exposure_constant or FLAT_RECEPTOR_CONSTANT)
    return round(
        float(needed_lux(camera.f_number, camera.shutter_s, camera.iso, constant)), 2
    ), None


def _named(given: Marks | None) -> Marked:
    if given is None:
        return {}
    named: Marked = {}
    if given.subject is not None:
        named["subject"] = given.subject
    if given.camera is not None:
        named["camera"] = given.camera
    for number, point in enumerate(given.path or (), start=1):
        named[f"path {number}"] = point
    return named


def camera_normals(given: Marks | None) -> dict[str, tuple[float, float, float] | str]:
    """The way the side that the camera sees looks at each mark but the camera's own, or why it is
    not known ("because ...").

    The subject's face where its direction is recorded, else level towards the camera.
    """
    found: dict[str, tuple[float, float, float] | str] = {}
    for name, point in _named(given).items():
        assert given is not None
        if name == "camera":
            continue
        if name == "subject" and given.subject_normal is not None:
            length = float(np.linalg.norm(given.subject_normal))
            x, y, z = (part / length for part in given.subject_normal)
            found[name] = (x, y, z)
        elif given.camera is None:
            found[name] = "because no camera mark is given, so which side it sees is not known"
        else:
            across = (given.camera[0] - point[0], given.camera[1] - point[1])
            away = float(np.hypot(*across))
            found[name] = (
                (across[0] / away, across[1] / away, 0.0)
                if away > 1e-6
                else "because the camera stands straight above or below the mark"
            )
    return found


def _with_stops(row: MarkDaylight, needed: float | None) -> MarkDaylight:
    def stops(lux: float | None) -> float | None:
        return None if not lux or not needed else round(float(np.log2(lux / needed)), 2)

    return replace(
        row,
        overcast_stops_noon=stops(row.overcast_lux_noon),
        clear_stops_noon=stops(row.clear_lux_noon),
        camera_overcast_stops_noon=stops(row.camera_overcast_lux_noon),
        camera_clear_stops_noon=stops(row.camera_clear_lux_noon),
    )


# -- indoors
# ----------------------------------------------------------------------------------------------------------
def _indoors(
    sheet: RoomSheet,
    named: Marked,
    looks: dict[str, tuple[float, float, float] | str],
    facings: WallFacings,
    day: _Day | None,
    lost: str | None,
    ground: float,
) -> tuple[dict[str, MarkDaylight], dict[str, float | None]]:
    seen = {name: way for name, way in looks.items() if not isinstance(way, str)}
    places = [*named.values(), *(named[name] for name in seen)]
    ways = [*([(0.0, 0.0, 1.0)] * len(named)), *seen.values()]
    room = light_room(
        sheet, facings, tuple((float(x), float(y), float(z)) for x, y, z in places), tuple(ways)
    )
    if isinstance(room, str):
        return {name: MarkDaylight(unknown=room) for name in named}, {}
    rows: dict[str, MarkDaylight] = {}
    factors: dict[str, float | None] = {}
    turn = north_turn(sheet, facings)
    facing_mark = {name: len(named) + k for k, name in enumerate(seen)}
    for number, name in enumerate(named):
        mark = room.light.marks[number]
        sky = _sky_part(mark.direct)
        factor = _factor_or_none(mark, ground)
        assumed, reasons = [*room.assumed], [room.missing] if room.missing else []
        if room.bounds is not None:
            low, high = (_factor(bound.marks[number], ground) for bound in room.bounds)
            assumed.append(
                f"the daylight factor lies between {100 * low:.2g} and {100 * high:.2g} % if what is not measured reflects {DARK:.2f} to {PALE:.2f}"
            )
        if lost is not None:
            reasons.append(lost)
        elif turn is None and room.light.glazing:
            reasons.append(
                f"{facings.unknown or 'because facing is not measured'}, so the light of a clear sky and of the sun is not known"
            )
        series, noon = (
            _series(room, number, factor, turn, day, ground)
            if day is not None
            else ((), (None, None))
        )
        if day is not None and noon[0] is None and factor is not None:
            reasons.append(NO_NOON)
        row = MarkDaylight(
            assumed=tuple(assumed),
            unknown="; ".join(reasons) or None,
            daylight_factor_pct=_rounded(factor, 100.0, 4),
            sky_component_pct=round(100.0 * sky, 4),
            overcast_lux_noon=_rounded(noon[0], 1.0, 1),
            clear_lux_noon=_rounded(noon[1], 1.0, 1),
            series=series,
        )
        if name in facing_mark:
            upright = facing_mark[name]
            to_camera = _factor_or_none(room.light.marks[upright], ground)
            of_side = (
                _series(room, upright, to_camera, turn, day, ground)
                if day is not None
                else ((), (None, None))
            )
            row = _towards_camera(row, seen[name], to_camera, of_side)
        else:
            because = looks.get(name)
            row = replace(row, camera_unknown=because if isinstance(because, str) else None)
        rows[name] = row
        factors[name] = factor
    return rows, factors


def _towards_camera(
    row: MarkDaylight,
    normal: tuple[float, float, float],
    factor: float | None,
    side: tuple[tuple[LuxPoint, ...], tuple[float | None, float | None]],
) -> MarkDaylight:
    """The row with the light on the side the camera sees beside the light on the level plane."""
    points, noon = side
    series = tuple(
        replace(level, camera_overcast_lux=upright.overcast_lux, camera_clear_lux=upright.clear_lux)
        for level, upright in zip(row.series, points, strict=True)
    )
    x, y, z = (round(part, 6) for part in normal)
    return replace(
        row,
        series=series,
        camera_normal=(x, y, z),
        camera_factor_pct=_rounded(factor, 100.0, 4),
        camera_overcast_lux_noon=_rounded(noon[0], 1.0, 1),
        camera_clear_lux_noon=_rounded(noon[1], 1.0, 1),
    )


def _sky_part(weights: Weights) -> float:
    return Weights(
        weights.bearing_deg, weights.elevation_deg, weights.sky, 0.0, 0.0, weights.spreading
    ).overcast(0.0)


def _factor_or_none(mark: MarkLight, ground: float) -> float | None:
    return None if mark.reflected is None else _factor(mark, ground)


def _factor(mark: MarkLight, ground: float) -> float:
    assert mark.reflected is not None
    return mark.direct.overcast(ground) + mark.reflected.overcast(ground)


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


def _series(
    room: LightRoom, number: int, factor: float | None, turn: float | None, day: _Day, ground: float
) -> tuple[tuple[LuxPoint, ...], tuple[float | None, float | None]]:
    spans = day.events.spans
    at = np.arange(spans[0][0], spans[-1][1], STEP_S)
    times = at if day.events.noon is None else np.append(at, day.events.noon)
    sun = day.sun(times)
    height = sun.elevation_deg
    overcast = None if factor is None else factor * sky_lux(height, OVERCAST)
    clear, lit = _clear(room.light, number, turn, day, ground, sun)
    points = _points(day, at, height, overcast, clear, lit)
    noon = (
        (None, None)
        if day.events.noon is None
        else (_shown(overcast, -1, height), _shown(clear, -1, height))
    )
    return points, noon


def _points(
    day: _Day,
    at: FloatArray,
    height: FloatArray,
    overcast: FloatArray | None,
    clear: FloatArray | None,
    lit: NDArray[np.bool_] | None,
) -> tuple[LuxPoint, ...]:
    return tuple(
        LuxPoint(
            day.clock(float(t)),
            _rounded(_shown(overcast, k, height), 1.0, 1),
            _rounded(_shown(clear, k, height), 1.0, 1),
            None if lit is None else bool(lit[k]),
        )
        for k, t in enumerate(at)
    )


def _shown(lux: FloatArray | None, k: int, height: FloatArray) -> float | None:
    """The lux at one instant; none in twilight, where the formulas do not reach, and 0 by night."""
    if lux is None or NIGHT_DEG <= height[k] <= 0.0:
        return None
    return float(lux[k]) if height[k] > 0 else 0.0


def _clear(
    light: RoomLight,
    number: int,
    turn: float | None,
    day: _Day,
    ground: float,
    sun: SunPosition[FloatArray],
) -> tuple[FloatArray | None, NDArray[np.bool_] | None]:
    """Lux of a clear day at a mark (None when a reflectance or the facing is missing), and whether
    the sun lights it.
    """
    height, azimuth = sun.elevation_deg, sun.azimuth_deg
    mark = light.marks[number]
    if not light.glazing:
        return np.zeros_like(height), np.zeros(height.shape, dtype=bool)
    if turn is None:
        return None, None
    up = sun.geometric_elevation_deg > SUNRISE_DEG
    found = clear_lux(
        RoomSpot(light, mark, turn),
        azimuth[up],
        height[up],
        outside_lux=extraterrestrial_lux(day.on),
        ground_reflectance=ground,
    )
    lit = np.zeros(height.shape, dtype=bool)
    lit[up] = found.lit
    if mark.reflected is None:
        return None, lit
    lux = np.zeros_like(height)
    lux[up] = found.lux
    return lux, lit


# -- outdoors
# ---------------------------------------------------------------------------------------------------------
def _outdoors(
    sheet: RoomSheet,
    named: Marked,
    looks: dict[str, tuple[float, float, float] | str],
    facings: WallFacings,
    day: _Day | None,
    lost: str | None,
    ground: float,
) -> tuple[dict[str, MarkDaylight], dict[str, float | None]]:
    assumed = ["open ground: nothing but the skyline stands round the mark"]
    points = skyline_of(None, sheet.room.skyline, assumed, "this place")
    skyline = None if points is None else tuple(points)
    level = _open_side(skyline, None, day, ground)
    row = MarkDaylight(
        assumed=tuple(assumed),
        unknown=lost or (NO_NOON if level.noon[0] is None else None),
        daylight_factor_pct=round(100.0 * level.factor, 4),
        sky_component_pct=round(100.0 * level.sky, 4),
        overcast_lux_noon=_rounded(level.noon[0], 1.0, 1),
        clear_lux_noon=_rounded(level.noon[1], 1.0, 1),
        series=level.series,
    )
    turn = north_turn(sheet, facings)
    rows: dict[str, MarkDaylight] = {}
    for name in named:
        way = looks.get(name)
        if isinstance(way, str) or way is None:
            rows[name] = replace(row, camera_unknown=way)
        elif turn is None:
            because = facings.unknown or "because facing is not measured"
            rows[name] = replace(
                row,
                camera_unknown=f"{because}, so which way the side that the camera sees looks is not known",
            )
        else:
            side = _open_side(skyline, to_true(way, turn), day, ground)
            rows[name] = _towards_camera(row, way, side.factor, (side.series, side.noon))
    return rows, dict.fromkeys(named, level.factor)


def to_true(way: tuple[float, float, float], turn_deg: float) -> tuple[float, float, float]:
    """A direction of the plan as east, north, up, the plan's y axis lying turn_deg clockwise of
    north.
    """
    c, s = float(np.cos(np.radians(turn_deg))), float(np.sin(np.radians(turn_deg)))
    return way[0] * c + way[1] * s, way[1] * c - way[0] * s, way[2]


@dataclass(frozen=True)
class _Side:
    """Light on one plane outdoors."""

    factor: float
    sky: float
    series: tuple[LuxPoint, ...] = ()
    noon: tuple[float | None, float | None] = (None, None)


def _open_side(
    skyline: tuple[tuple[float, float], ...] | None,
    looks: tuple[float, float, float] | None,
    day: _Day | None,
    ground: float,
) -> _Side:
    """Light outdoors on a plane that looks one way (None: level, upwards)."""
    looks = looks or (0.0, 0.0, 1.0)
    weights = open_ground(skyline, looks)
    factor, sky = weights.overcast(ground), _sky_part(weights)
    if day is None:
        return _Side(factor, sky)
    at = np.arange(day.events.spans[0][0], day.events.spans[-1][1], STEP_S)
    times = at if day.events.noon is None else np.append(at, day.events.noon)
    sun_there = day.sun(times)
    height, azimuth = sun_there.elevation_deg, sun_there.azimuth_deg
    lit = sun_there.geometric_elevation_deg > SUNRISE_DEG
    found = clear_lux(
        OpenSpot(looks, skyline, (weights,)),
        azimuth,
        height,
        outside_lux=extraterrestrial_lux(day.on),
        ground_reflectance=ground,
    )
    lit &= found.lit
    clear = np.where(height > 0, found.lux, 0.0)
    overcast = factor * sky_lux(height, OVERCAST)
    series = _points(day, at, height, overcast, clear, lit)
    noon = (
        (None, None)
        if day.events.noon is None
        else (_shown(overcast, -1, height), _shown(clear, -1, height))
    )
    return _Side(factor, sky, series, noon)


# -- enough
# -----------------------------------------------------------------------------------------------------------
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
    row: MarkDaylight, skies: _Skies, day: _Day | None, factor: float | None, needed: float | None
) -> MarkDaylight:
    to_camera = None if row.camera_factor_pct is None else row.camera_factor_pct / 100.0
    level, side = (
        _enough(share, skies, day, needed) or (None, None) for share in (factor, to_camera)
    )
    return replace(
        row,
        enough_from=level[0],
        enough_until=level[1],
        camera_enough_from=side[0],
        camera_enough_until=side[1],
    )


def _enough(
    factor: float | None, skies: _Skies, day: _Day | None, needed: float | None
) -> tuple[datetime | None, datetime | None] | None:
    """First and last instant of the date at which an overcast sky brings what is needed; (None,
    None) when it never does.
    """
    if factor is None or day is None or needed is None:
        return None
    found: list[float] = []
    for at, height, open_lux in skies:
        over = factor * open_lux - needed
        bright = over >= 0
        found += at[bright].tolist()
        index = np.flatnonzero((bright[1:] != bright[:-1]) & (height[1:] > 0) & (height[:-1] > 0))
        found += (
            at[index] + (at[index + 1] - at[index]) * over[index] / (over[index] - over[index + 1])
        ).tolist()
    if not found:
        return None, None
    return day.clock(min(found)), day.clock(max(found))


def _rounded(value: float | None, scale: float, digits: int) -> float | None:
    return None if value is None else round(scale * value, digits)
