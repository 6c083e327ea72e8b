"""Where and which way: a location's coordinates and clocks, and the true bearing each wall of a
room faces.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo

from scout.calc.geometry import facing_deg, wall_letters
from scout.calc.magnetic import declination
from scout.records.sheet import DEFAULT_FACING_ACCURACY_DEG, RoomRecord, RoomSheet, SheetLocation

COMPASS_CAUTION = "a compass beside steel, wiring or a car can be several degrees out: check it against the sun or a map"
# 9 km up moves the sun by 9 / 149,600,000 of a radian; what height does to the air is in the words
# on refraction
SEA_LEVEL = "the height above the sea is not recorded: sea level is taken, which moves the sun by less than 0.001 degrees"


@dataclass(frozen=True)
class Place:
    """A location that is known well enough for the sun, or `unknown` saying what is missing."""

    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    zone: tzinfo
    assumed: tuple[str, ...]
    unknown: str | None = None


@dataclass(frozen=True)
class WallFacings:
    """The true bearing of each wall's outward normal, with its doubt, or `unknown` saying why there
    is none.
    """

    true_deg: Mapping[str, float]
    doubt_deg: float
    correction_deg: (
        float | None
    )  # east positive, added to the reading; None when it was read from true north
    assumed: tuple[str, ...]
    unknown: str | None = None


def place_of(location: SheetLocation | None) -> Place:
    """The location as the sun needs it. Without a time zone, times are put on the nautical zone of
    the longitude, stated.
    """
    latitude, longitude = (
        (None, None) if location is None else (location.latitude_deg, location.longitude_deg)
    )
    if location is None or latitude is None or longitude is None:
        missing = [
            words
            for words, value in (("latitude", latitude), ("longitude", longitude))
            if value is None
        ]
        return Place(
            0.0,
            0.0,
            0.0,
            UTC,
            (),
            f"because {' and '.join(missing)} of the location {'are' if len(missing) > 1 else 'is'} not recorded",
        )
    assumed = []
    zone: tzinfo
    if location.timezone is not None:
        zone = ZoneInfo(location.timezone)
    else:
        hours = round(longitude / 15.0)
        zone = timezone(timedelta(hours=hours))
        assumed.append(
            f"the time zone is not recorded: dates and times are on UTC{hours:+03d}:00, from the longitude alone, not the local clock"
        )
    if abs(latitude) == 90:
        assumed.append("at a pole bearings are counted from the meridian of the longitude given")
    if location.elevation_m is None:
        assumed.append(SEA_LEVEL)
    if latitude == 0 == longitude:
        assumed.append(
            "the coordinates are 0, 0, which is also what a phone writes when it withholds its position: confirm them"
        )
    return Place(latitude, longitude, location.elevation_m or 0.0, zone, tuple(assumed))


def facings_of(sheet: RoomSheet, on: date) -> WallFacings:
    """The true bearing of every wall from the one that was read, magnetic readings corrected for
    place and date.
    """
    room, facing = sheet.room, sheet.room.facing
    if facing is None:
        return _unknown(
            "because facing is not measured: stand square to a wall and read the bearing out through it"
        )
    doubt = DEFAULT_FACING_ACCURACY_DEG if facing.accuracy_deg is None else facing.accuracy_deg
    assumed = []
    if facing.accuracy_deg is None:
        assumed.append(f"the bearing is taken as good to {doubt:g} degrees, as a phone compass is")
    bearing, correction = facing.bearing_deg, None
    if facing.north != "true":
        place = place_of(sheet.location)
        if place.unknown is not None and facing.north == "magnetic":
            return _unknown(
                f"{place.unknown}, so the magnetic bearing cannot be turned to true north"
            )
        if place.unknown is None:
            read_on = facing.read_on or on
            turn = declination(place.latitude_deg, place.longitude_deg, read_on, place.elevation_m)
            if facing.north == "magnetic":
                if turn.degrees is None:
                    return _unknown(turn.because or "because the declination is unknown")
                correction, bearing = turn.degrees, bearing + turn.degrees
                assumed.append(
                    f"{facing.bearing_deg:g} magnetic is turned by {turn.degrees:+.2f} degrees to true north ({turn.model}); {COMPASS_CAUTION}"
                )
                if facing.read_on is None:
                    assumed.append(
                        f"the day the compass was read is not recorded: the declination of {read_on.isoformat()} is used"
                    )
                if turn.years_outside > 0 and turn.doubt_deg is not None:
                    doubt = (doubt**2 + turn.doubt_deg**2) ** 0.5
                if turn.note is not None:
                    assumed.append(turn.note)
            elif turn.degrees is not None:
                doubt += abs(turn.degrees)
        if facing.north is None:
            assumed.append(
                f"which north the bearing was read from is not recorded: true north is taken, and the doubt widened to {doubt:.1f} degrees"
            )
    return _spread(
        room, facing.wall, bearing % 360.0, min(doubt, 180.0), correction, tuple(assumed)
    )  # 180 is any bearing at all


def _spread(
    room: RoomRecord,
    wall: str,
    bearing_deg: float,
    doubt_deg: float,
    correction: float | None,
    assumed: tuple[str, ...],
) -> WallFacings:
    corners = room.corners_m
    if corners is None:  # the wall that was read is known without a plan
        return WallFacings({wall: bearing_deg}, doubt_deg, correction, assumed)
    letters = wall_letters(len(corners))
    bearings = facing_deg(corners, letters.index(wall), bearing_deg)
    return WallFacings(
        dict(zip(letters, bearings.tolist(), strict=True)), doubt_deg, correction, assumed
    )


def _unknown(because: str) -> WallFacings:
    return WallFacings({}, 0.0, None, (), because)
