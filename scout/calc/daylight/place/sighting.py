"""Bearings found without a compass: between two points of a map, from the shadow of an upright
edge, and through a photo.

map: A ----> B          shadow: sun                 photo: (0, 0) +-----------+ (1, 0)
the bearing of a line   edge |\\  the shadow of an          |   . (x, y) |  a point of the picture
between two points            | \\  upright edge runs        +-----------+  as bearing and elevation
of known position         ----+--=====> away from the sun   looking along the lens's own bearing
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import Figure, said

# Source: WGS 84 (NIMA TR8350.2): semi-major axis and first eccentricity squared
SEMI_MAJOR_M, ECCENTRICITY_2 = 6_378_137.0, 6.694_379_990_14e-3
NEAREST_M, FARTHEST_M = 1.0, 50_000.0
LEVEL_MOST_DEG = 89.0
FILM_DIAGONAL_MM = math.hypot(36.0, 24.0)  # what a "35 mm equivalent" focal length is counted for


@dataclass(frozen=True)
class Sight:
    """A line seen from one place to another. doubt_deg: from the doubt of both ends."""

    bearing_deg: float
    distance_m: float
    doubt_deg: float


def map_sight(
    from_deg: tuple[float, float], to_deg: tuple[float, float], *, accuracy_m: float = 0.0
) -> Sight:
    """The true bearing of a line between two points of a map.

    from_deg, to_deg: latitude and longitude of each [deg, WGS 84]
    accuracy_m:       how far either point may lie from where it is given [m]
    Returns:          Sight; the doubt is that of both ends off to opposite sides
    Raises:           OutOfRange, naming the argument; also for points too near to each other or
        too far apart
    Source:           radii of curvature of the WGS 84 ellipsoid at the mean latitude
        (mid-latitude formula of the second geodetic task)
    Limits:           1 m to 50 km, up to 89 degrees of latitude; within 0.001 degrees there up
        to 10 km (see the tests)
    """
    for name, (latitude, longitude) in (("from_deg", from_deg), ("to_deg", to_deg)):
        require(f"{name}.latitude_deg", latitude, least=-LEVEL_MOST_DEG, most=LEVEL_MOST_DEG)
        require(f"{name}.longitude_deg", longitude, least=-180, most=180)
    require("accuracy_m", accuracy_m, least=0)
    middle = math.radians((from_deg[0] + to_deg[0]) / 2)
    turn = math.radians((to_deg[1] - from_deg[1] + 180.0) % 360.0 - 180.0)
    curve = 1.0 - ECCENTRICITY_2 * math.sin(middle) ** 2
    east = SEMI_MAJOR_M / math.sqrt(curve) * math.cos(middle) * turn
    north = (
        SEMI_MAJOR_M * (1.0 - ECCENTRICITY_2) / curve**1.5 * math.radians(to_deg[0] - from_deg[0])
    )
    distance = math.hypot(east, north)
    if not NEAREST_M <= distance <= FARTHEST_M:
        raise OutOfRange(
            "to_deg",
            Figure(distance, "m"),
            said(
                "refusal.sun.points_apart",
                least=Figure(NEAREST_M, "m"),
                most=Figure(FARTHEST_M / 1000, "km"),
            ),
        )
    convergence = (
        0.5 * math.degrees(turn) * math.sin(middle)
    )  # the bearing at the first point, not halfway
    bearing = (math.degrees(math.atan2(east, north)) - convergence) % 360.0
    doubt = (
        90.0 if 2 * accuracy_m >= distance else math.degrees(math.asin(2 * accuracy_m / distance))
    )
    return Sight(bearing, distance, doubt)


def shadow_north_deg(
    start_m: tuple[float, float], end_m: tuple[float, float], sun_azimuth_deg: float
) -> float:
    """The true bearing of the plan's y axis, from the shadow that an upright edge threw along the
    floor.

    start_m, end_m:  plan points of the shadow, the end nearer to the edge first [m]
    sun_azimuth_deg: of the sun at that time [deg]
    Raises:          OutOfRange when both points are one
    Source:          geometry: the shadow of an upright edge on a level floor runs away from the
        sun, however high the sun and the edge
    """
    dx, dy = end_m[0] - start_m[0], end_m[1] - start_m[1]
    if math.hypot(dx, dy) < 1e-6:
        raise OutOfRange("end_m", end_m, said("refusal.sun.shadow_apart"))
    clockwise = math.degrees(math.atan2(dx, dy))  # of the shadow, from the plan's y axis
    return (sun_azimuth_deg + 180.0 - clockwise) % 360.0


def line_doubt_deg(length_m: float, accuracy_m: float) -> float:
    """How far a line of a length may be turned when each of its ends may be accuracy_m off, to
    opposite sides.
    """
    require("length_m", length_m, above=0)
    require("accuracy_m", accuracy_m, least=0)
    return (
        90.0 if 2 * accuracy_m >= length_m else math.degrees(math.asin(2 * accuracy_m / length_m))
    )


def view_across_deg(width_px: float, height_px: float, equivalent_mm: float) -> float:
    """The horizontal field of view of a picture, from the focal length that would show as much on
    36 x 24 mm.

    Source: CIPA DCG-001 counts the equivalent by the diagonal: 43.27 mm
    """
    require("width_px", width_px, above=0)
    require("height_px", height_px, above=0)
    require("equivalent_mm", equivalent_mm, above=0)
    width_mm = FILM_DIAGONAL_MM * width_px / math.hypot(width_px, height_px)
    return 2.0 * math.degrees(math.atan(width_mm / (2.0 * equivalent_mm)))


def directions_in_photo(
    points: ArrayLike,
    *,
    aspect: float,
    across_deg: float,
    bearing_deg: float,
    tilt_deg: float = 0.0,
) -> FloatArray:
    """Bearing and elevation of points of a picture.

    points:      (n, 2), from the left and from the top, each as a share of the picture, 0 to 1
    aspect:      width over height of the upright picture
    across_deg:  horizontal field of view, below 170
    bearing_deg: true bearing of the picture's middle
    tilt_deg:    of the lens above the level, -80 to 80
    Returns:     (n, 2), true bearing (0 up to 360) and elevation [deg]
    Raises:      OutOfRange, naming the argument
    Source:      pinhole projection: a picture point lies at (x, y, f), turned up by the tilt
    Limits:      a rectilinear lens held without roll; the corners of a wide lens may be a
        degree or two off
    """
    p = require("points", points, least=0, most=1).reshape(-1, 2)
    require("aspect", aspect, above=0)
    require("across_deg", across_deg, above=1, below=170)
    require("bearing_deg", bearing_deg)
    require("tilt_deg", tilt_deg, least=-80, most=80)
    half = math.tan(math.radians(across_deg) / 2.0)
    right = (2.0 * p[:, 0] - 1.0) * half
    up = (1.0 - 2.0 * p[:, 1]) * half / aspect
    c, s = math.cos(math.radians(tilt_deg)), math.sin(math.radians(tilt_deg))
    ahead, high = c - s * up, s + c * up
    bearing = (bearing_deg + np.degrees(np.arctan2(right, ahead))) % 360.0
    elevation = np.degrees(np.arctan2(high, np.hypot(right, ahead)))
    return np.stack([np.where(bearing >= 360.0, 0.0, bearing), elevation], axis=-1)
