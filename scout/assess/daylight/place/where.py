"""Where and which way: a location's coordinates and clocks, and the true bearing each wall of a
room faces.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo

from scout.assess.answers import unmeasured
from scout.calc.geometry import facing_deg, wall_letters
from scout.calc.magnetic import declination
from scout.errors import Refused
from scout.records.sheet import RoomRecord, RoomSheet, SheetLocation
from scout.values import Figure, Name, Said, said

COMPASS_CAUTION = said("sun.compass")


@dataclass(frozen=True)
class Place:
    """A location that is known well enough for the sun, or `unknown` saying what is missing."""

    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    zone: tzinfo
    assumed: tuple[Said, ...]
    unknown: Said | None = None

    @property
    def where(self) -> dict[str, float]:
        """The place as the sun's position takes it."""
        return {
            "latitude_deg": self.latitude_deg,
            "longitude_deg": self.longitude_deg,
            "elevation_m": self.elevation_m,
        }


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
    assumed: tuple[Said, ...]
    unknown: Said | None = None


def reason(refusal: Refused) -> Said | Name:
    """Why something was refused, as a value."""
    return refusal.because if isinstance(refusal.because, Said) else Name(refusal.because)


def place_of(location: SheetLocation | None) -> Place:
    """The location as the sun needs it. Without a time zone, times are put on the nautical zone of
    the longitude, stated.
    """
    latitude, longitude = (
        (None, None) if location is None else (location.latitude_deg, location.longitude_deg)
    )
    if location is None or latitude is None or longitude is None:
        given = {"latitude_deg": latitude, "longitude_deg": longitude}
        missing = [f"location.{name}" for name, value in given.items() if value is None]
        return Place(0.0, 0.0, 0.0, UTC, (), unmeasured(*missing))
    assumed = []
    zone: tzinfo
    if location.timezone is not None:
        zone = ZoneInfo(location.timezone)
    else:
        hours = round(longitude / 15.0)
        zone = timezone(timedelta(hours=hours))
        assumed.append(said("sun.zone_by_longitude", hours=Figure(hours, "count")))
    if abs(latitude) == 90:
        assumed.append(said("sun.at_pole"))
    if location.elevation_m is None:
        # 9 km up moves the sun by 9 / 149,600,000 of a radian; what height does to the air is in
        # the words on refraction
        assumed.append(said("sun.sea_level"))
    if latitude == 0 == longitude:
        assumed.append(said("sun.null_island"))
    return Place(latitude, longitude, location.elevation_m or 0.0, zone, tuple(assumed))


def facings_of(sheet: RoomSheet, on: date) -> WallFacings:
    """The true bearing of every wall from the one that was read, magnetic readings corrected for
    place and date.
    """
    room, facing = sheet.room, sheet.room.facing
    if facing is None:
        return _unknown(unmeasured("room.facing"))
    doubt = room.facing_accuracy_deg
    assumed = []
    if facing.accuracy_deg is None:
        assumed.append(said("sun.facing_doubt", doubt=Figure(doubt, "deg")))
    bearing, correction = facing.bearing_deg, None
    if facing.north != "true":
        place = place_of(sheet.location)
        if place.unknown is not None and facing.north == "magnetic":
            return _unknown(said("sun.no_true_north", why=place.unknown))
        if place.unknown is None:
            read_on = facing.read_on or on
            turn = declination(place.latitude_deg, place.longitude_deg, read_on, place.elevation_m)
            if facing.north == "magnetic":
                if turn.degrees is None:
                    return _unknown(turn.because or unmeasured("room.facing"))
                correction, bearing = turn.degrees, bearing + turn.degrees
                assumed += [
                    said(
                        "sun.declined",
                        read=Figure(facing.bearing_deg, "deg"),
                        turn=Figure(turn.degrees, "deg"),
                        model=Name(turn.model),
                    ),
                    COMPASS_CAUTION,
                ]
                if facing.read_on is None:
                    assumed.append(said("sun.read_on_unknown", on=read_on))
                if turn.years_outside > 0 and turn.doubt_deg is not None:
                    doubt = (doubt**2 + turn.doubt_deg**2) ** 0.5
                assumed += turn.notes
            elif turn.degrees is not None:
                doubt += abs(turn.degrees)
        if facing.north is None:
            assumed.append(said("sun.north_unknown", doubt=Figure(doubt, "deg"), other=None))
    return _spread(
        room, facing.wall, bearing % 360.0, min(doubt, 180.0), correction, tuple(assumed)
    )  # 180 is any bearing at all


def _spread(
    room: RoomRecord,
    wall: str,
    bearing_deg: float,
    doubt_deg: float,
    correction: float | None,
    assumed: tuple[Said, ...],
) -> WallFacings:
    corners = room.corners_m
    if corners is None:  # the wall that was read is known without a plan
        return WallFacings({wall: bearing_deg}, doubt_deg, correction, assumed)
    letters = wall_letters(len(corners))
    bearings = facing_deg(corners, letters.index(wall), bearing_deg)
    return WallFacings(
        dict(zip(letters, bearings.tolist(), strict=True)), doubt_deg, correction, assumed
    )


def _unknown(because: Said) -> WallFacings:
    return WallFacings({}, 0.0, None, (), because)
