"""Sending the sun to a mark with a mirror or a matt board: where it must face, what arrives, how
soon it drifts off.

        sun s \\      / subject v         the mirror's normal halves the angle between them: n =
        unit(s + v)
                \\ n /
        ---------\\|/--------- mirror

Bearings are clockwise from true north; x points east and y north here. A mirror throws the sun
itself: never into eyes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import said

SUN_DISC_DEG = 0.533  # mean angular diameter of the sun


@dataclass(frozen=True)
class MirrorAim:
    """How a flat mirror must be set."""

    normal: FloatArray  # (3,) unit
    azimuth_deg: float
    tilt_deg: float  # of the normal above level
    incidence_deg: float


def direction(azimuth_deg: ArrayLike, elevation_deg: ArrayLike) -> FloatArray:
    """(..., 3) unit vector towards a bearing and an elevation; x east, y north, z up. Raises
    OutOfRange.
    """
    azimuth = np.radians(require("azimuth_deg", azimuth_deg))
    elevation = np.radians(require("elevation_deg", elevation_deg, least=-90, most=90))
    level = np.cos(elevation)
    return np.stack(
        np.broadcast_arrays(np.sin(azimuth) * level, np.cos(azimuth) * level, np.sin(elevation)),
        axis=-1,
    )


def mirror_aim(
    sun_azimuth_deg: float, sun_elevation_deg: float, mirror_m: ArrayLike, subject_m: ArrayLike
) -> MirrorAim:
    """The way a flat mirror must face to throw the sun on a subject.

    sun_azimuth_deg, sun_elevation_deg: where the sun is [deg]; above the horizon
    mirror_m, subject_m: (3,), x east, y north, z up [m], not the same point
    Returns:  normal, its azimuth and tilt, and the angle of incidence
    Raises:   OutOfRange, naming the argument; also when the subject lies straight away from the sun
    Source:   law of reflection, n = unit(s + v)
    """
    require("sun_elevation_deg", sun_elevation_deg, above=0, most=90)
    sun = direction(sun_azimuth_deg, sun_elevation_deg)
    way = require("subject_m", subject_m) - require("mirror_m", mirror_m)
    distance = float(np.linalg.norm(way))
    if distance < 1e-6:
        raise OutOfRange(
            "subject_m",
            tuple(np.asarray(subject_m, dtype=float)),
            said("refusal.space.same_place"),
        )
    both = sun + way / distance
    size = float(np.linalg.norm(both))
    if size < 1e-6:
        raise OutOfRange(
            "subject_m",
            tuple(np.asarray(subject_m, dtype=float)),
            said("refusal.space.away_from_sun"),
        )
    normal = both / size
    azimuth = float(np.degrees(np.arctan2(normal[0], normal[1])) % 360.0)
    tilt = float(np.degrees(np.arcsin(np.clip(normal[2], -1.0, 1.0))))
    incidence = float(np.degrees(np.arccos(np.clip(normal @ sun, -1.0, 1.0))))
    return MirrorAim(normal, azimuth, tilt, incidence)


def patch_blur_m(distance_m: ArrayLike) -> FloatArray:
    """Width of the soft edge of a mirror's patch [m] at a distance (...) [m]: the sun is a disc.
    Raises OutOfRange.
    """
    return np.asarray(require("distance_m", distance_m, least=0) * np.radians(SUN_DISC_DEG))


def matt_board_lux(
    sun_lux: ArrayLike,
    reflectance: ArrayLike,
    area_m2: ArrayLike,
    incidence_deg: ArrayLike,
    leaving_deg: ArrayLike,
    distance_m: ArrayLike,
) -> FloatArray:
    """Lux a matt white board sends to a mark that faces it.

    sun_lux: square to the sun [lx]; reflectance: 0 to 1; area_m2: of the board, 0 or more
    incidence_deg, leaving_deg: sun to normal, normal to mark [deg], 0 to 90
    distance_m: board to mark [m], above 0
    Returns:  (...), [lx]
    Raises:   OutOfRange, naming the argument
    Source:   Lambertian patch: rho E cos(i) A cos(o) / (pi d^2)
    Limits:   a small patch: d at least about five board widths for 1 %, three for 3 %
    """
    sun = require("sun_lux", sun_lux, least=0)
    rho = require("reflectance", reflectance, least=0, most=1)
    area = require("area_m2", area_m2, least=0)
    arriving = np.cos(np.radians(require("incidence_deg", incidence_deg, least=0, most=90)))
    leaving = np.cos(np.radians(require("leaving_deg", leaving_deg, least=0, most=90)))
    distance = require("distance_m", distance_m, above=0)
    return np.asarray(rho * sun * arriving * area * leaving / (np.pi * distance**2))
