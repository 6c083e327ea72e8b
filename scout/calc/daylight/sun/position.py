"""Where the sun stands in the sky of one place: elevation and azimuth for one instant or a whole
array of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Generic, TypeVar, overload

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.daylight.sun.ephemeris import sun_in_sky
from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import said

SUNRISE_DEG = -0.8333  # 34' of refraction and 16' of radius: the almanacs' convention
REFRACTED_FROM_DEG = -(
    0.26667 + 0.5667
)  # SPA lets refraction act from here up; the reading jumps there
EARTH_FLATTENING_RATIO = 0.99664719
EARTH_RADIUS_M = 6378140.0
SOLAR_PARALLAX_RAD = np.radians(8.794 / 3600.0)

T = TypeVar("T", float, FloatArray)


@dataclass(frozen=True)
class SunPosition(Generic[T]):
    """The sun's centre as seen from a place. Below the horizon elevation_deg equals
    geometric_elevation_deg.
    """

    elevation_deg: T  # with refraction
    geometric_elevation_deg: T  # without
    azimuth_deg: T  # clockwise from true north, 0 to 360
    zenith_deg: T  # 90 less elevation_deg


@overload
def sun_position(
    at: datetime,
    *,
    latitude_deg: float,
    longitude_deg: float,
    elevation_m: float = ...,
    pressure_hpa: float = ...,
    air_c: float = ...,
) -> SunPosition[float]: ...


@overload
def sun_position(
    at: ArrayLike,
    *,
    latitude_deg: float,
    longitude_deg: float,
    elevation_m: float = ...,
    pressure_hpa: float = ...,
    air_c: float = ...,
) -> SunPosition[FloatArray]: ...


def sun_position(
    at: datetime | ArrayLike,
    *,
    latitude_deg: float,
    longitude_deg: float,
    elevation_m: float = 0.0,
    pressure_hpa: float = 1013.25,
    air_c: float = 12.0,
) -> SunPosition[float] | SunPosition[FloatArray]:
    """The sun's place in the sky, topocentric, with refraction.

    at:            a datetime with an offset, or (...) instants [s since 1970-01-01T00:00Z],
        years 1000 to 3000
    latitude_deg:  -90 to 90, north positive; longitude_deg: -180 to 180, east positive
    elevation_m:   of the place above the sea; pressure_hpa and air_c feed the refraction alone
    Returns:       SunPosition of floats, or of arrays shaped like `at`
    Raises:        OutOfRange, naming the argument; also for a datetime without an offset
    Source:        Reda and Andreas, NREL/TP-560-34302 (2003, rev. 2008), 3.10 to 3.14; parallax
        taken as a vector
    Limits:        0.01 degrees of SPA; the dip of the horizon from a height is left out; at a
        pole the azimuth is counted
                   from the meridian of longitude_deg
    """
    require("latitude_deg", latitude_deg, least=-90, most=90)
    require("longitude_deg", longitude_deg, least=-180, most=180)
    require("elevation_m", elevation_m, least=-500, most=20_000)
    require("pressure_hpa", pressure_hpa, least=0, most=1200)
    require("air_c", air_c, least=-100, most=70)
    if isinstance(at, datetime):
        one = _from_place(
            np.array([unix_seconds(at)]),
            latitude_deg,
            longitude_deg,
            elevation_m,
            pressure_hpa,
            air_c,
        )
        return SunPosition(*(float(part[0]) for part in one))
    instants = require("at", at)
    parts = _from_place(
        instants.ravel(), latitude_deg, longitude_deg, elevation_m, pressure_hpa, air_c
    )
    return SunPosition(*(part.reshape(instants.shape) for part in parts))


def unix_seconds(at: datetime) -> float:
    """Seconds since 1970-01-01T00:00Z. Raises OutOfRange for a datetime that carries no offset."""
    if at.tzinfo is None or at.utcoffset() is None:
        raise OutOfRange(
            "at",
            at.isoformat(),
            said("refusal.sun.no_offset"),
        )
    return at.timestamp()


def towards(elevation_deg: ArrayLike, azimuth_deg: ArrayLike) -> FloatArray:
    """(..., 3) unit vector east, north, up towards a point of the sky."""
    h, s = np.radians(elevation_deg), np.radians(azimuth_deg)
    return np.stack([np.cos(h) * np.sin(s), np.cos(h) * np.cos(s), np.sin(h)], axis=-1)


def _from_place(
    unix_s: FloatArray,
    latitude_deg: float,
    longitude_deg: float,
    elevation_m: float,
    pressure_hpa: float,
    air_c: float,
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    up, west, north = horizontal_vector(unix_s, latitude_deg, longitude_deg, elevation_m)
    geometric = np.degrees(np.arctan2(up, np.hypot(west, north)))
    azimuth = np.degrees(np.arctan2(-west, north)) % 360.0
    azimuth = np.where(azimuth >= 360.0, 0.0, azimuth)  # a tiny negative angle rounds up to 360
    apparent = geometric + refraction_deg(geometric, pressure_hpa, air_c)
    return apparent, geometric, azimuth, 90.0 - apparent


def horizontal_vector(
    unix_s: FloatArray, latitude_deg: float, longitude_deg: float, elevation_m: float = 0.0
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Up, west and north parts of the vector from the place to the sun [au-less, nearly unit],
    parallax included.
    """
    sky = sun_in_sky(unix_s)
    theta = sky.sidereal_rad + np.radians(longitude_deg)
    cos_t, sin_t = np.cos(theta), np.sin(theta)
    x, y, z = sky.vector.T
    phi = np.radians(latitude_deg)
    u = np.arctan(EARTH_FLATTENING_RATIO * np.tan(phi)) if abs(latitude_deg) < 90 else phi
    height = elevation_m / EARTH_RADIUS_M
    parallax = SOLAR_PARALLAX_RAD / sky.distance_au
    to_meridian = x * cos_t + y * sin_t - parallax * (np.cos(u) + height * np.cos(phi))
    west = x * sin_t - y * cos_t
    to_pole = z - parallax * (EARTH_FLATTENING_RATIO * np.sin(u) + height * np.sin(phi))
    sin_p, cos_p = np.sin(phi), np.cos(phi)
    return to_meridian * cos_p + to_pole * sin_p, west, to_pole * cos_p - to_meridian * sin_p


def refraction_deg(
    geometric_deg: FloatArray, pressure_hpa: float = 1013.25, air_c: float = 12.0
) -> FloatArray:
    """How much the air lifts the sun [deg]; nothing below -0.833 degrees, where it has set (SPA
    3.14.2).
    """
    lifted = geometric_deg >= REFRACTED_FROM_DEG
    e = np.where(lifted, geometric_deg, 0.0)
    lift = (
        (pressure_hpa / 1010.0)
        * (283.0 / (273.0 + air_c))
        * 1.02
        / (60.0 * np.tan(np.radians(e + 10.3 / (e + 5.11))))
    )
    return np.where(lifted, lift, 0.0)
