"""Lux from a lamp: inverse square, two models of a beam, and how far a wide source may be called a
point.

        lamp  o----- axis (aim) ------>
               \\ off-axis angle          E = I(angle) / d^2, times the cosine at the receiving
               plane when one is named
                \\ d
                 x point

A lux reading of the very lamp beats its lumens: the two beam models differ by up to half a stop.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import said


def intensity_uniform_cone_cd(lumens: ArrayLike, beam_deg: ArrayLike) -> FloatArray:
    """Intensity if all the lumens fill the beam's cone evenly and none falls outside it.

    lumens:   (...), luminous flux [lm], 0 or more
    beam_deg: (...), full beam angle [deg], above 0 to 360
    Returns:  (...), intensity [cd]
    Raises:   OutOfRange, naming the argument
    Source:   solid angle of a cone, 2 pi (1 - cos(b/2))
    Limits:   an upper figure for real lamps, whose light falls off towards the edge
    """
    flux = require("lumens", lumens, least=0)
    beam = require("beam_deg", beam_deg, above=0, most=360)
    return np.asarray(flux / (2.0 * np.pi * (1.0 - np.cos(np.radians(beam) / 2.0))))


def beam_exponent(beam_deg: ArrayLike) -> FloatArray:
    """The m of I(a) = I0 cos(a)^m that gives half intensity at the edge of the beam.

    beam_deg: (...), full angle to half intensity [deg], above 0, below 180
    Returns:  (...), m [-]; 1 (a flat matt emitter) at 120 degrees
    Raises:   OutOfRange, naming the argument
    Source:   cos(b/2)^m = 1/2 solved for m
    """
    beam = require("beam_deg", beam_deg, above=0, below=180)
    # log cos x as log(1 - 2 sin^2(x/2)): a laser-thin beam must not round to a cosine of 1.
    return np.asarray(np.log(0.5) / np.log1p(-2.0 * np.sin(np.radians(beam) / 4.0) ** 2))


def intensity_cosine_power_cd(lumens: ArrayLike, beam_deg: ArrayLike) -> FloatArray:
    """Intensity on the axis if the light falls off as a power of the cosine, to half at the edge of
    the beam.

    lumens:   (...), luminous flux [lm], 0 or more
    beam_deg: (...), full angle to half intensity [deg], above 0, below 180
    Returns:  (...), intensity on the axis [cd]
    Raises:   OutOfRange, naming the argument
    Source:   I0 = flux (m + 1) / (2 pi), the integral of cos^m over the half space
    Limits:   nothing shines backwards; half a stop either way of a real lamp
    """
    flux = require("lumens", lumens, least=0)
    return np.asarray(flux * (beam_exponent(beam_deg) + 1.0) / (2.0 * np.pi))


def beam_share(off_axis_deg: ArrayLike, beam_deg: ArrayLike) -> FloatArray:
    """Share of the axis intensity seen off the axis: cos(a)^m, half at the edge of the beam,
    nothing behind the lamp.

    off_axis_deg: (...), angle from the axis [deg], 0 to 180
    beam_deg:     (...), full angle to half intensity [deg], above 0, below 180
    Returns:      (...), 0 to 1
    Raises:       OutOfRange, naming the argument
    Source:       the same model as intensity_cosine_power_cd
    """
    angle = require("off_axis_deg", off_axis_deg, least=0, most=180)
    exponent = beam_exponent(beam_deg)
    # Past the side of the lamp the cosine is negative: no light, and no fractional power of a
    # negative number.
    ahead = np.where(angle < 90.0, np.cos(np.radians(np.minimum(angle, 90.0))), 0.0)
    return np.asarray(ahead**exponent)


def illuminance_lux(
    points_m: ArrayLike,
    lamp_m: ArrayLike,
    intensity_cd: ArrayLike,
    *,
    aim_m: ArrayLike | None = None,
    beam_deg: float | None = None,
    normal: ArrayLike | None = None,
) -> FloatArray:
    """Lux from one lamp at points in space.

    points_m:     (..., 3), where it is read [m], none of them at the lamp
    lamp_m:       (3,), where the lamp is [m]
    intensity_cd: scalar or (...), on the axis [cd], 0 or more
    aim_m:        (3,) or None, the point the axis goes through; None: every point lies on the axis
    beam_deg:     full angle to half intensity [deg]; needs aim_m; None: even in every direction
    normal:       (..., 3) or None, the way the receiving plane faces; None: it faces the lamp
    Returns:      (...), illuminance [lx]; 0 behind the plane or behind the lamp
    Raises:       OutOfRange, naming the argument
    Source:       E = I cos(th) / d^2
    Limits:       a point source: within 1 % from five source widths on, 2.7 % at three, 5.9 %
        at two
    """
    points = require("points_m", points_m)
    lamp = require("lamp_m", lamp_m)
    intensity = require("intensity_cd", intensity_cd, least=0)
    away = points - lamp
    distance = np.linalg.norm(away, axis=-1)
    if np.any(distance < 1e-6):
        raise OutOfRange(
            "points_m", tuple(np.atleast_1d(points).ravel()[:3]), said("refusal.space.same_place")
        )
    ray = away / distance[..., None]
    lux = intensity / distance**2
    if aim_m is not None and beam_deg is not None:
        axis = require("aim_m", aim_m) - lamp
        length = float(np.linalg.norm(axis))
        if length < 1e-6:
            raise OutOfRange(
                "aim_m", tuple(np.asarray(aim_m, dtype=float)), said("refusal.space.same_place")
            )
        off_axis_deg = np.degrees(np.arccos(np.clip(ray @ (axis / length), -1.0, 1.0)))
        lux = lux * beam_share(off_axis_deg, beam_deg)
    if normal is not None:
        facing = require("normal", normal)
        size = np.linalg.norm(facing, axis=-1)
        if np.any(size < 1e-9):
            raise OutOfRange(
                "normal", tuple(np.atleast_1d(facing).ravel()[:3]), said("refusal.space.no_length")
            )
        lux = lux * np.maximum(-np.sum(ray * facing, axis=-1) / size, 0.0)
    return np.asarray(lux)
