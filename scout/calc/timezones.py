"""The time zone of a place from its coordinates, offline; off a coast the nearest land's zone is
offered, to be confirmed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import tzfpy

from scout.calc.geometry import require
from scout.values import Figure, Name, Said, names, said

EARTH_KM = 6371.0
RINGS_KM = (1, 2, 5, 10, 20, 40, 70, 110, 160, 230, 310, 400)
BEARINGS = 32
POLE_DEG = 89.9


@dataclass(frozen=True)
class ZoneGuess:
    """What to set a location's clocks to. `confirm`: a person should look at it, and `note` says
    why.
    """

    name: str | None  # IANA zone, None when no land is near
    others: tuple[str, ...]  # further zones in use there
    # to the land the zone belongs to with its waters (12 nautical miles, which the polygons hold),
    # 0 within
    distance_km: float
    confirm: bool
    note: Said | None


def zone_at(latitude_deg: float, longitude_deg: float) -> ZoneGuess:
    """The zone whose clocks are used at a place.

    Returns: ZoneGuess; on land the zone there, within 400 km of land the nearest land's, to be
        confirmed, else no name
    Raises:  OutOfRange, naming the argument (the look-up itself answers bad coordinates with an
        empty text)
    Source:  timezone-boundary-builder's polygons, through tzfpy; at sea it answers a nautical
        zone (Etc/GMT-1), which no
             clock on a shore shows
    Limits:  borders are simplified by up to a few hundred metres; distances are to about a
        third of themselves
    """
    require("latitude_deg", latitude_deg, least=-90, most=90)
    require("longitude_deg", longitude_deg, least=-180, most=180)
    here = _land_zones(latitude_deg, longitude_deg)
    if abs(latitude_deg) > POLE_DEG:
        return ZoneGuess(here[0] if here else None, here[1:], 0.0, True, said("sun.zone_pole"))
    null = said("sun.phone_zero") if latitude_deg == 0 == longitude_deg else None
    if here:
        many = len(here) > 1
        choose = said("sun.zones", zones=names(here, "list")) if many else None
        return ZoneGuess(here[0], here[1:], 0.0, many, choose)
    for radius_km in RINGS_KM:
        found = [
            zones[0]
            for lat, lon in _ring(latitude_deg, longitude_deg, radius_km)
            if (zones := _land_zones(lat, lon))
        ]
        if found:
            near = sorted(set(found), key=lambda name: -found.count(name))
            note = said(
                "sun.off_coast",
                zone=Name(near[0]),
                away=Figure(radius_km, "km"),
                null=null,
            )
            return ZoneGuess(near[0], tuple(near[1:]), float(radius_km), True, note)
    far = said("sun.no_land", away=Figure(RINGS_KM[-1], "km"), null=null)
    return ZoneGuess(None, (), float("inf"), True, far)


def _land_zones(latitude_deg: float, longitude_deg: float) -> tuple[str, ...]:
    quick = tzfpy.get_tz(longitude_deg, latitude_deg)
    zones = [quick, *tzfpy.get_tzs(longitude_deg, latitude_deg)]
    return tuple(dict.fromkeys(name for name in zones if name and not name.startswith("Etc/")))


def _ring(latitude_deg: float, longitude_deg: float, radius_km: float) -> list[tuple[float, float]]:
    """Points all round a place at one distance, over the poles and the date line too."""
    phi, away = np.radians(latitude_deg), radius_km / EARTH_KM
    bearing = np.arange(BEARINGS) * (2 * np.pi / BEARINGS)
    sin_lat = np.sin(phi) * np.cos(away) + np.cos(phi) * np.sin(away) * np.cos(bearing)
    turn = np.arctan2(
        np.sin(bearing) * np.sin(away) * np.cos(phi), np.cos(away) - np.sin(phi) * sin_lat
    )
    lon = (longitude_deg + np.degrees(turn) + 180.0) % 360.0 - 180.0
    return list(
        zip(np.degrees(np.arcsin(np.clip(sin_lat, -1, 1))).tolist(), lon.tolist(), strict=True)
    )
