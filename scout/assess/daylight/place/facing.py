"""Which way a room faces, found without a compass; and a skyline from a photo. Each says what was
assumed and how good it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

import numpy as np

from scout.assess.daylight.place.where import COMPASS_CAUTION, Place, place_of
from scout.calc.daylight.place.floor_photo import shadow_on_floor
from scout.calc.daylight.place.sighting import (
    directions_in_photo,
    line_doubt_deg,
    map_sight,
    shadow_north_deg,
    view_across_deg,
)
from scout.calc.daylight.sun.position import SUNRISE_DEG, SunPosition, sun_position
from scout.calc.geometry import facing_deg, wall_letters, walls
from scout.calc.magnetic import declination
from scout.errors import OutOfRange, Refused
from scout.records.sheet import RoomRecord, RoomSheet
from scout.records.sighted import FloorPhoto, MapLine, ShadowLine, SkylineTrace
from scout.values import Figure, Said, Word, names, said

MAP_ACCURACY_M = 2.0  # common practice: a point picked on an aerial picture
SHORTEST_M = 0.05
FLOOR_ACCURACY_M = 0.02  # a tape on the floor to a blurred edge
CLOCK_S = 60.0
LOW_SUN_DEG = 3.0
WIDE_DEG = 75.0
CLICKED = 0.004  # share of the picture's width: a finger on a phone, a blurred edge
LAID_DEG = 1.0  # a sheet of paper pushed against a skirting board


@dataclass(frozen=True)
class FacingFound:
    """The true bearing out through a wall, how good it is, and how it was found."""

    wall: str
    bearing_deg: float
    accuracy_deg: float
    how: Said
    assumed: tuple[Said, ...] = ()


@dataclass(frozen=True)
class CompassReading:
    """A facing as it was read and as it is used. correction_deg: added to the reading, east
    positive; None when it was read from true north.
    """

    wall: str
    read_deg: float
    north: str | None
    true_deg: float | None
    correction_deg: float | None
    model: str | None
    doubt_deg: float
    notes: tuple[Said, ...]
    caution: Said = COMPASS_CAUTION
    unknown: Said | None = None


def compass(sheet: RoomSheet, on: date) -> CompassReading | None:
    """The room's facing, magnetic and true side by side; None when none is recorded."""
    facing, place = sheet.room.facing, place_of(sheet.location)
    if facing is None:
        return None
    doubt = sheet.room.facing_accuracy_deg
    notes = (
        []
        if facing.accuracy_deg is not None
        else [said("sun.facing_doubt", doubt=Figure(doubt, "deg"))]
    )
    given = CompassReading(
        facing.wall,
        facing.bearing_deg,
        facing.north,
        facing.bearing_deg,
        None,
        None,
        doubt,
        tuple(notes),
    )
    if facing.north == "true":
        return given
    if place.unknown is not None:
        return replace(
            given,
            true_deg=None if facing.north == "magnetic" else facing.bearing_deg,
            unknown=said("sun.no_true_north", why=place.unknown),
        )
    read_on = facing.read_on or on
    turn = declination(place.latitude_deg, place.longitude_deg, read_on, place.elevation_m)
    if facing.read_on is None:
        notes.append(said("sun.read_on_unknown", on=read_on))
    notes += turn.notes
    if turn.degrees is None:
        return replace(
            given,
            true_deg=None if facing.north == "magnetic" else facing.bearing_deg,
            model=turn.model,
            notes=tuple(notes),
            unknown=turn.because,
        )
    if facing.north is None:
        doubt += abs(turn.degrees)
        other = Figure((facing.bearing_deg + turn.degrees) % 360, "deg")
        either = said("sun.north_unknown", doubt=Figure(doubt, "deg"), other=other)
        return replace(given, notes=(*notes, either), doubt_deg=doubt)
    return replace(
        given,
        true_deg=(facing.bearing_deg + turn.degrees) % 360.0,
        correction_deg=turn.degrees,
        model=turn.model,
        notes=tuple(notes),
    )


def facing_from_map(room: RoomRecord, line: MapLine) -> FacingFound:
    """The facing of a wall from a line between two points of a map. Raises Refused."""
    _wall_of(room, line.wall)
    accuracy = MAP_ACCURACY_M if line.accuracy_m is None else line.accuracy_m
    try:
        sight = map_sight(
            (line.from_latitude_deg, line.from_longitude_deg),
            (line.to_latitude_deg, line.to_longitude_deg),
            accuracy_m=accuracy,
        )
    except OutOfRange as refusal:
        field = "from_latitude_deg" if refusal.path.startswith("from") else "to_latitude_deg"
        raise Refused(field, refusal.given, refusal.because) from None
    # a wall runs left to right as seen from inside; its outward normal is that direction turned
    # left by 90 degrees
    bearing = sight.bearing_deg if line.runs == "out_through" else sight.bearing_deg - 90.0
    assumed = (
        []
        if line.accuracy_m is not None
        else [said("sun.points_taken", doubt=Figure(accuracy, "m"))]
    )
    how = said(
        "sun.by_map",
        apart=Figure(sight.distance_m, "m"),
        way=Word("runs", line.runs),
        wall=Word("surface", line.wall),
    )
    return _found(line.wall, bearing, sight.doubt_deg, how, assumed)


def facing_from_shadow(sheet: RoomSheet, line: ShadowLine) -> FacingFound:
    """The facing of wall A from the shadow of an upright window edge on the floor. Raises Refused
    when there is no sun or no plan.
    """
    room, place = sheet.room, place_of(sheet.location)
    if room.corners_m is None:
        raise Refused("near", None, said("refusal.sun.no_plan"))
    if place.unknown is not None:
        raise Refused("at", line.at, said("refusal.sun.says_nothing", why=place.unknown))
    at, sun, turned = _sun_of(place, line.at, line.clock_s)
    length = float(np.hypot(line.far[0] - line.near[0], line.far[1] - line.near[1]))
    if length < SHORTEST_M:
        raise Refused(
            "far",
            list(line.far),
            said("refusal.sun.long_line", least=Figure(SHORTEST_M, "m")),
        )
    north_of_plan = shadow_north_deg(line.near, line.far, sun.azimuth_deg)
    accuracy = FLOOR_ACCURACY_M if line.accuracy_m is None else line.accuracy_m
    first = walls(room.corners_m)[0]
    bearing = north_of_plan + float(np.degrees(np.arctan2(first.outward[0], first.outward[1])))
    assumed = [said("sun.level_floor")]
    if line.accuracy_m is None:
        assumed.append(said("sun.points_taken", doubt=Figure(accuracy, "m")))
    assumed += _of_sun(sun, line.clock_s)
    how = said(
        "sun.by_shadow",
        length=Figure(length, "m"),
        at=at,
        bearing=Figure(sun.azimuth_deg, "deg"),
        height=Figure(sun.elevation_deg, "deg"),
    )
    doubt = float(np.hypot(line_doubt_deg(length, accuracy), turned))
    assumed += _of_windows(room, first.letter, bearing, sun.azimuth_deg)
    return _found(first.letter, bearing, doubt, how, assumed)


def facing_from_floor_photo(
    sheet: RoomSheet, line: FloorPhoto, width_px: int, height_px: int
) -> FacingFound:
    """The facing of a wall from a photo of a shadow on the floor, beside a rectangle of known sides
    that lies along the wall. Raises Refused.
    """
    _wall_of(sheet.room, line.wall)
    place = place_of(sheet.location)
    if place.unknown is not None:
        raise Refused("at", line.at, said("refusal.sun.says_nothing", why=place.unknown))
    at, sun, turned = _sun_of(place, line.at, line.clock_s)
    _in_picture(line.points)
    try:
        found = shadow_on_floor(
            line.points[:4],
            line.points[4:],
            along_m=line.along_m,
            deep_m=line.deep_m,
            aspect=width_px / height_px,
            accuracy=CLICKED,
        )
    except OutOfRange as refusal:
        raise Refused(
            "points", f"the {'shadow' if refusal.path == 'shadow' else 'corners'}", refusal.because
        ) from None
    bearing = sun.azimuth_deg + 180.0 - found.turn_deg
    wall = Word("surface", line.wall)
    assumed = [
        said("sun.level_floor"),
        said("sun.laid", wall=wall, doubt=Figure(LAID_DEG, "deg")),
        said("sun.clicked", share=Figure(100 * CLICKED, "%")),
        said("sun.straight_lens"),
        *_of_sun(sun, line.clock_s),
        *_of_windows(sheet.room, line.wall, bearing, sun.azimuth_deg),
    ]
    how = said(
        "sun.by_photo",
        length=Figure(found.length_m, "m"),
        at=at,
        along=Figure(line.along_m, "m"),
        deep=Figure(line.deep_m, "m"),
        wall=wall,
        bearing=Figure(sun.azimuth_deg, "deg"),
        height=Figure(sun.elevation_deg, "deg"),
    )
    doubt = float(np.sqrt(found.doubt_deg**2 + turned**2 + LAID_DEG**2))
    return _found(line.wall, bearing, doubt, how, assumed)


def _sun_of(
    place: Place, at_text: str, clock_s: float | None
) -> tuple[datetime, SunPosition[float], float]:
    """When a shadow lay, the sun that threw it, and how far the clock's doubt turns it [deg].
    Raises Refused when the sun was down.
    """
    at = datetime.fromisoformat(at_text)

    def sun_at(moment: datetime) -> SunPosition[float]:
        return sun_position(moment, **place.where)

    sun = sun_at(at)
    if sun.geometric_elevation_deg <= SUNRISE_DEG:
        raise Refused(
            "at",
            at_text,
            said("refusal.sun.sun_down"),
        )
    clock = timedelta(seconds=CLOCK_S if clock_s is None else clock_s)
    turned = (
        sun_at(at + clock).azimuth_deg - sun_at(at - clock).azimuth_deg + 180.0
    ) % 360.0 - 180.0
    return at, sun, abs(turned) / 2.0


def _of_sun(sun: SunPosition[float], clock_s: float | None) -> list[Said]:
    notes = [said("sun.clock_taken", doubt=Figure(CLOCK_S, "s"))] if clock_s is None else []
    if sun.elevation_deg < LOW_SUN_DEG:
        notes.append(said("sun.very_low"))
    return notes


def _in_picture(points: Sequence[tuple[float, float]]) -> None:
    for number, point in enumerate(points, start=1):
        if not all(0 <= part <= 1 for part in point):
            because = said("refusal.sun.in_picture", number=number)
            raise Refused("points", list(point), because)


def _of_windows(
    room: RoomRecord, wall: str, bearing_deg: float, sun_azimuth_deg: float
) -> list[Said]:
    """A warning where, with this facing, the sun stood behind every window: then the two ends of
    the shadow were likely changed.
    """
    walls_with = {window.wall for window in room.windows or ()}
    if room.corners_m is None or not walls_with:
        return []
    letters = wall_letters(len(room.corners_m))
    bearings = dict(
        zip(
            letters,
            facing_deg(room.corners_m, letters.index(wall), bearing_deg % 360.0).tolist(),
            strict=True,
        )
    )
    if any(
        abs((sun_azimuth_deg - bearings[one] + 180.0) % 360.0 - 180.0) < 90.0 for one in walls_with
    ):
        return []
    return [said("sun.behind_windows")]


def skyline_from_photo(
    trace: SkylineTrace, width_px: int, height_px: int
) -> tuple[tuple[tuple[float, float], ...], float, tuple[Said, ...]]:
    """(bearing, elevation) of each point traced on an upright picture, the field of view used, and
    what was assumed. Raises Refused.
    """
    if (trace.across_deg is None) == (trace.equivalent_mm is None):
        raise Refused(
            "across_deg",
            trace.across_deg,
            said("refusal.sun.one_of_two"),
        )
    across = (
        trace.across_deg
        if trace.across_deg is not None
        else view_across_deg(width_px, height_px, float(trace.equivalent_mm or 0.0))
    )
    _in_picture(trace.points)
    found = directions_in_photo(
        trace.points,
        aspect=width_px / height_px,
        across_deg=across,
        bearing_deg=trace.bearing_deg,
        tilt_deg=trace.tilt_deg or 0.0,
    )
    assumed = [said("sun.whole_picture")]
    if trace.tilt_deg is None:
        assumed.append(said("sun.level_lens"))
    if across > WIDE_DEG:
        assumed.append(said("sun.wide_lens"))
    rounded = tuple(
        (round(float(bearing), 1) % 360.0, round(float(elevation), 1))
        for bearing, elevation in found
    )
    return tuple(sorted(dict.fromkeys(rounded))), across, tuple(assumed)


def _wall_of(room: RoomRecord, wall: str) -> None:
    if room.corners_m is not None and wall not in wall_letters(len(room.corners_m)):
        raise Refused(
            "wall",
            wall,
            said("refusal.sun.no_wall", walls=names(wall_letters(len(room.corners_m)), "list")),
        )


def _found(
    wall: str, bearing_deg: float, doubt_deg: float, how: Said, assumed: list[Said]
) -> FacingFound:
    """A facing whose doubt, to a tenth, is never told smaller than it is."""
    doubt = min(180.0, float(np.ceil(10.0 * doubt_deg - 1e-9)) / 10.0)
    return FacingFound(wall, round(bearing_deg % 360.0, 2) % 360.0, doubt, how, tuple(assumed))
