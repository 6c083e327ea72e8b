"""How bright the sky is: outdoor light by the sun's height, and how it is spread over the sky.

Availability (how many lux) is the IES practice's; spread (from where) is the CIE standard overcast
sky and the CIE standard
clear sky of type 12. Both spreads are given per lux of the sky's own horizontal light.
"""

from __future__ import annotations

from datetime import date
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.daylight.sun.position import towards
from scout.calc.geometry import FloatArray, require
from scout.calc.quadrature import gauss_legendre

SOLAR_LUX = 127_500.0
CLEAR = (
    0.21,
    0.8,
    15.5,
    0.5,
    # c, A, B, C of the IES practice; the direct sun dims as exp(-c / sin h), the sky gives A + B sin^C
    # h
)
OVERCAST = (0.3, 21.0, 1.0)
# CIE standard clear sky, type 12 of ISO 15469:2004 (from memory; the same constants stand in CIE S
# 003): gradation a, b; indicatrix c, d, e.
TYPE_12 = (-1.0, -0.32, 10.0, -3.0, 0.45)
# pairs of sun and direction, and directions, worked on at once: what stays near the processor
BLOCK, LEAST_BLOCK = 65_536, 64


def extraterrestrial_lux(on: date) -> float:
    """Sunlight outside the air on a date, square on [lux]: 127.5 klx and the Earth's distance (IES
    practice of 1984).
    """
    return SOLAR_LUX * (
        1.0 + 0.034 * float(np.cos(2.0 * np.pi * (on.timetuple().tm_yday - 2) / 365.0))
    )


def direct_normal_lux(
    sun_elevation_deg: ArrayLike, outside_lux: float = SOLAR_LUX, extinction: float = CLEAR[0]
) -> FloatArray:
    """Sunlight on a plane square to it [lux], 0 when the sun is not up: Ext exp(-c / sin h).

    Source: IES Recommended Practice for the Calculation of Daylight Availability, J. IES 13(4),
        1984 (RP-21)
    Limits: a mean; an instant may be half or double
    """
    sine = np.sin(np.radians(require("sun_elevation_deg", sun_elevation_deg, least=-90, most=90)))
    up = sine > 0
    return np.where(
        up, outside_lux * np.exp(-extinction / np.where(up, np.maximum(sine, 1e-6), 1.0)), 0.0
    )


def sky_lux(sun_elevation_deg: ArrayLike, terms: tuple[float, ...]) -> FloatArray:
    """Horizontal light of the sky alone [lux], terms A, B, C being the last three of CLEAR
    or OVERCAST; 0 when the sun is not up.

    Source: the same practice, A + B sin^C h in kilolux. Limits: the sun above the horizon; a mean
    """
    a, b, c = terms[-3:]
    sine = np.sin(np.radians(require("sun_elevation_deg", sun_elevation_deg, least=-90, most=90)))
    return np.where(sine > 0, 1000.0 * (a + b * np.maximum(sine, 0.0) ** c), 0.0)


def overcast_spread(elevation_deg: ArrayLike) -> FloatArray:
    """Luminance of the CIE overcast sky for each lux of its horizontal light [cd/m2 per lux].

    Source: Moon and Spencer; CIE S 011 / ISO 15469 type 1 in its older form: L = Lz (1 + 2 sin)
        / 3, E = 7 pi Lz / 9
    """
    tangent = np.tan(np.radians(elevation_deg))  # with a root, a third of the time of a sine
    sine = tangent / np.sqrt(1.0 + tangent * tangent)
    return np.asarray(np.where(sine >= 0, (1.0 + 2.0 * sine) / 3.0, 0.0) * 9.0 / (7.0 * np.pi))


def clear_spread(
    elevation_deg: ArrayLike,
    azimuth_deg: ArrayLike,
    sun_elevation_deg: ArrayLike,
    sun_azimuth_deg: ArrayLike,
) -> FloatArray:
    """Luminance of the CIE standard clear sky (type 12) for each lux of its horizontal light, the
    sun itself left out.

    Arguments broadcast [deg]. Source: ISO 15469:2004, L ~ f(chi) phi(Z), phi = 1 + a exp(b / cos
    Z), f = 1 + c (exp(d chi) - exp(d pi / 2)) + e cos^2 chi
    """
    relative = _type_12(elevation_deg, azimuth_deg, sun_elevation_deg, sun_azimuth_deg)
    heights, sums = _clear_sums()
    return np.asarray(
        relative / np.interp(np.asarray(sun_elevation_deg, dtype=np.float64), heights, sums)
    )


def clear_through(
    elevation_deg: FloatArray,
    azimuth_deg: FloatArray,
    weight: FloatArray,
    sun_elevation_deg: FloatArray,
    sun_azimuth_deg: FloatArray,
) -> FloatArray:
    """(t, ...) clear_spread of many directions (n,) summed by their weights (n, ...), one set of them
    or several, for many suns (t,).

    The same sum in another order: x = cos of the angle to the sun is a product of unit vectors, so
    that e x^2 comes to a form of 3 x 3, and only exp(d arccos x) is worked out for every pair.
    """
    a, b, c, d, e = TYPE_12
    height = np.radians(elevation_deg)
    sine = np.sin(height)
    up = sine > 0
    own = np.where(up, (1.0 + a * np.exp(b / np.where(up, np.maximum(sine, 1e-9), 1.0))), 0.0)
    own = own * weight.T  # (..., n)
    way = towards(elevation_deg, azimuth_deg)
    sun = towards(sun_elevation_deg, sun_azimuth_deg)
    square = np.einsum("ti,...ij,tj->t...", sun, way.T @ (own[..., None] * way), sun)
    near = np.zeros((len(sun), *own.shape[:-1]))
    step = max(LEAST_BLOCK, BLOCK // max(1, len(sun)))
    for first in range(0, len(way), step):
        each = sun @ way[first : first + step].T
        np.clip(each, -1.0, 1.0, out=each)
        np.arccos(each, out=each)
        each *= d
        near += np.exp(each, out=each) @ own[..., first : first + step].T
    relative = own.sum(axis=-1) * (1.0 - c * np.exp(d * np.pi / 2.0)) + c * near + e * square
    heights, sums = _clear_sums()
    return np.asarray((relative.T / np.interp(sun_elevation_deg, heights, sums)).T)


def _type_12(
    elevation_deg: ArrayLike,
    azimuth_deg: ArrayLike,
    sun_elevation_deg: ArrayLike,
    sun_azimuth_deg: ArrayLike,
) -> FloatArray:
    a, b, c, d, e = TYPE_12
    height, sun = np.radians(elevation_deg), np.radians(sun_elevation_deg)
    sine = np.sin(height)
    up = sine > 0
    cos_chi = sine * np.sin(sun) + np.cos(height) * np.cos(sun) * np.cos(
        np.radians(np.asarray(azimuth_deg) - np.asarray(sun_azimuth_deg))
    )
    chi = np.arccos(np.clip(cos_chi, -1.0, 1.0))
    gradation = 1.0 + a * np.exp(b / np.where(up, np.maximum(sine, 1e-9), 1.0))
    indicatrix = 1.0 + c * (np.exp(d * chi) - np.exp(d * np.pi / 2.0)) + e * cos_chi**2
    return np.asarray(np.where(up, gradation * indicatrix, 0.0))


@cache
def _clear_sums() -> tuple[FloatArray, FloatArray]:
    """Horizontal light of the type 12 sky of relative luminance, by sun height 0 to 90 [deg]."""
    heights = np.arange(0.0, 91.0, 1.0)
    node, share = gauss_legendre(24)
    gamma = (node + 1.0) * 45.0
    azimuth = (np.arange(96) + 0.5) * 3.75
    sine, weight = np.sin(np.radians(gamma)), share * np.pi / 4.0
    around = (
        _type_12(gamma[:, None], azimuth, heights[:, None, None], 0.0).mean(axis=-1) * 2.0 * np.pi
    )
    return heights, np.asarray(around @ (weight * sine * np.cos(np.radians(gamma))))
