"""A lamp with a beam: what it puts on a plane, on the patches of a room, and how much light it gives in all."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.calc.radiosity.patches import Patches
from scout.calc.radiosity.visibility import INWARD_M, is_convex, sees
from scout.errors import OutOfRange

WIDEST_BEAM_DEG = 175.0  # at 180 the half intensity would lie beside the lamp, where a cosine lobe has none
TOUCHING_M = 1e-3


def lobe_exponent(beam_deg: float) -> float:
    """m of the lobe cos^m that falls to one half at half the beam angle.

    beam_deg: full angle between half intensities, above 0 to 175 [deg]
    Source:   Moreno and Sun, Optics Express 16(3) 2008, the cosine-power model of a light emitting diode: m = ln 0.5 / ln cos(beam / 2)
    """
    require("beam_deg", beam_deg, above=0, most=WIDEST_BEAM_DEG)
    return float(np.log(0.5) / np.log(np.cos(np.radians(beam_deg / 2.0))))


def flux_lm(lux_at_1m: float, beam_deg: float) -> float:
    """All the light of the lobe: 2 pi I0 / (m + 1), I0 in candela being the lux at one metre."""
    require("lux_at_1m", lux_at_1m, least=0)
    return float(2.0 * np.pi * lux_at_1m / (lobe_exponent(beam_deg) + 1.0))


def direct_at(at_m: ArrayLike, aim_m: ArrayLike, lux_at_1m: float, beam_deg: float, points_m: ArrayLike, normal: ArrayLike) -> FloatArray:
    """Illuminance a lamp puts on small planes, nothing in the way.

    at_m, aim_m: (3,), lamp and the point it is aimed at, apart [m];  lux_at_1m: on the beam's axis, 0 or more [lux]
    points_m:    (..., 3) [m];  normal: (..., 3), unit, the way each plane looks
    Returns:     (...) [lux]; 0 behind the plane or behind the lamp
    Source:      E = I0 cos^m(off axis) cos(incidence) / distance^2 (inverse square law, a lamp small beside the distance)
    Raises:      OutOfRange, naming the argument, also for a lamp aimed at itself
    """
    at, aim = require("at_m", at_m), require("aim_m", aim_m)
    require("lux_at_1m", lux_at_1m, least=0)
    axis = aim - at
    if (length := float(np.linalg.norm(axis))) < TOUCHING_M:
        raise OutOfRange("aim_m", tuple(aim), "is where the light itself stands; give a point to aim at")
    way = np.asarray(points_m, dtype=np.float64) - at
    distance = np.maximum(np.linalg.norm(way, axis=-1), TOUCHING_M)
    off_axis = np.maximum(way @ (axis / length) / distance, 0.0)
    incidence = np.maximum(-np.einsum("...x,...x->...", way, np.asarray(normal, dtype=np.float64)) / distance, 0.0)
    return np.asarray(lux_at_1m * off_axis ** lobe_exponent(beam_deg) * incidence / distance**2)


def spread_from_lamp(
    patches: Patches, at_m: ArrayLike, aim_m: ArrayLike, lux_at_1m: float, beam_deg: float, per_side: int = 4
) -> FloatArray:
    """Illuminance a lamp in the room puts on per_side x per_side points of each patch, walls hiding what they hide.

    Returns: (p, per_side squared) [lux], at the points of patches.points(per_side). In the closed room all of the lamp's light
             lands somewhere; the sampled sum is brought to that, so that a lamp close to a wall neither gains nor loses light
             by where the points happen to fall.
    Raises:  OutOfRange, as direct_at
    """
    points, share = patches.points(per_side)
    normal = np.broadcast_to(patches.normal[:, None], points.shape)
    lux = direct_at(at_m, aim_m, lux_at_1m, beam_deg, points, normal)
    if not is_convex(patches.plan_m):
        lux = lux * sees(patches.plan_m, np.asarray(at_m, dtype=np.float64), points + INWARD_M * normal)
    landed = float(np.sum(lux * share, axis=1) @ patches.area_m2)
    return np.asarray(lux * (flux_lm(lux_at_1m, beam_deg) / landed)) if landed > 0 else lux


def direct_from_lamp(
    patches: Patches, at_m: ArrayLike, aim_m: ArrayLike, lux_at_1m: float, beam_deg: float, per_side: int = 4
) -> FloatArray:
    """(p,) mean illuminance a lamp in the room puts on each patch [lux]: the mean of spread_from_lamp."""
    share = patches.points(per_side)[1]
    return np.asarray(np.sum(spread_from_lamp(patches, at_m, aim_m, lux_at_1m, beam_deg, per_side) * share, axis=1))
