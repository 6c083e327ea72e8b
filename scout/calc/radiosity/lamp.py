"""A lamp with a beam: what it puts on a plane, on the patches of a room, and how much light it
gives in all.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require, walls
from scout.calc.radiosity.boxes import FACES
from scout.calc.radiosity.patches import Patches
from scout.errors import OutOfRange
from scout.values import said

WIDEST_BEAM_DEG = (
    175.0  # at 180 the half intensity would lie beside the lamp, where a cosine lobe has none
)
TOUCHING_M = 1e-3
MISSED = (
    0.10  # sampled light further than this from all the light: the spot falls between the points
)
RAYS = 512


def lobe_exponent(beam_deg: float) -> float:
    """m of the lobe cos^m that falls to one half at half the beam angle.

    beam_deg: full angle between half intensities, above 0 to 175 [deg]
    Source:   Moreno and Sun, Optics Express 16(3) 2008, the cosine-power model of a light
        emitting diode: m = ln 0.5 / ln cos(beam / 2)
    """
    require("beam_deg", beam_deg, above=0, most=WIDEST_BEAM_DEG)
    return float(np.log(0.5) / np.log(np.cos(np.radians(beam_deg / 2.0))))


def flux_lm(lux_at_1m: float, beam_deg: float) -> float:
    """All the light of the lobe: 2 pi I0 / (m + 1), I0 in candela being the lux at one metre."""
    require("lux_at_1m", lux_at_1m, least=0)
    return float(2.0 * np.pi * lux_at_1m / (lobe_exponent(beam_deg) + 1.0))


def direct_at(
    at_m: ArrayLike,
    aim_m: ArrayLike,
    lux_at_1m: float,
    beam_deg: float,
    points_m: ArrayLike,
    normal: ArrayLike,
) -> FloatArray:
    """Illuminance a lamp puts on small planes, nothing in the way.

    at_m, aim_m: (3,), lamp and the point it is aimed at, apart [m];  lux_at_1m: on the beam's
        axis, 0 or more [lux]
    points_m:    (..., 3) [m];  normal: (..., 3), unit, the way each plane looks
    Returns:     (...) [lux]; 0 behind the plane or behind the lamp
    Source:      E = I0 cos^m(off axis) cos(incidence) / distance^2 (inverse square law, a lamp
        small beside the distance)
    Raises:      OutOfRange, naming the argument, also for a lamp aimed at itself
    """
    at, aim = require("at_m", at_m), require("aim_m", aim_m)
    require("lux_at_1m", lux_at_1m, least=0)
    axis = aim - at
    if (length := float(np.linalg.norm(axis))) < TOUCHING_M:
        raise OutOfRange("aim_m", tuple(aim), said("refusal.patches.aimed_at_itself"))
    way = np.asarray(points_m, dtype=np.float64) - at
    distance = np.maximum(np.linalg.norm(way, axis=-1), TOUCHING_M)
    off_axis = np.maximum(way @ (axis / length) / distance, 0.0)
    incidence = np.maximum(
        -np.einsum("...x,...x->...", way, np.asarray(normal, dtype=np.float64)) / distance, 0.0
    )
    lux = np.zeros(distance.shape)
    lit = (off_axis > 0) & (incidence > 0)  # the power is the dear part: only where light falls
    lux[lit] = (
        lux_at_1m * off_axis[lit] ** lobe_exponent(beam_deg) * incidence[lit] / distance[lit] ** 2
    )
    return lux


def spread_from_lamp(
    patches: Patches,
    at_m: ArrayLike,
    aim_m: ArrayLike,
    lux_at_1m: float,
    beam_deg: float,
    per_side: int = 4,
) -> FloatArray:
    """Illuminance a lamp in the room puts on per_side x per_side points of each patch, walls hiding
    what they hide.

    Returns: (p, per_side squared) [lux], at the points of patches.points(per_side). In the
        closed room all of the lamp's light
             lands somewhere; the sampled sum is brought to that, so that a lamp close to a wall
             neither gains nor loses light
             by where the points happen to fall.
    Raises:  OutOfRange, as direct_at
    """
    return spreads_from_lamp(patches, at_m, [aim_m], lux_at_1m, beam_deg, per_side)[0]


def spreads_from_lamp(
    patches: Patches,
    at_m: ArrayLike,
    aims_m: Sequence[ArrayLike],
    lux_at_1m: float,
    beam_deg: float,
    per_side: int = 4,
) -> list[FloatArray]:
    """spread_from_lamp for one lamp turned to several aims: all that does not change with the aim
    is worked out once.
    """
    at = require("at_m", at_m)
    require("lux_at_1m", lux_at_1m, least=0)
    exponent, flux = lobe_exponent(beam_deg), flux_lm(lux_at_1m, beam_deg)
    points, share = patches.points(per_side)
    way = points - at
    distance = np.maximum(np.sqrt(np.einsum("pkx,pkx->pk", way, way)), TOUCHING_M)
    gain = np.maximum(-np.einsum("pkx,px->pk", way, patches.normal), 0.0) / distance**3
    if not patches.open:
        gain = gain * patches.seen_from(at, per_side)
    found = []
    for aim in aims_m:
        axis = require("aim_m", aim) - at
        if (length := float(np.linalg.norm(axis))) < TOUCHING_M:
            raise OutOfRange("aim_m", tuple(at + axis), said("refusal.patches.aimed_at_itself"))
        off_axis = way @ (axis / length) / distance
        lux = np.zeros(distance.shape)
        lit = (off_axis > 0) & (gain > 0)  # the power is the dear part: only where light falls
        lux[lit] = lux_at_1m * off_axis[lit] ** exponent * gain[lit]
        landed = float(np.sum(lux * share, axis=1) @ patches.area_m2)
        if abs(landed - flux) <= MISSED * flux:
            found.append(lux * (flux / landed) if landed > 0 else lux)
        else:
            found.append(_by_rays(patches, at, at + axis, flux, exponent, points, share))
    return found


def _by_rays(
    patches: Patches,
    at: FloatArray,
    aim: FloatArray,
    flux: float,
    exponent: float,
    points: FloatArray,
    share: FloatArray,
) -> FloatArray:
    """The same for a spot that falls between the points: RAYS equal parts of the lobe, each to the
    point nearest to where it lands.
    """
    axis = (aim - at) / np.linalg.norm(aim - at)
    side = np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
    side /= np.linalg.norm(side)
    part = (np.arange(RAYS) + 0.5) / RAYS
    cosine = part ** (1.0 / (exponent + 1.0))  # flux within an angle is 1 - cos^(m + 1)
    sine, turn = (
        np.sqrt(np.maximum(1.0 - cosine**2, 0.0)),
        np.arange(RAYS) * np.pi * (3.0 - np.sqrt(5.0)),
    )
    way = cosine[:, None] * axis + sine[:, None] * (
        np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * np.cross(axis, side)
    )
    best, hit = np.full(RAYS, np.inf), np.full(RAYS, -1)
    planes = [
        (wall.start_m, wall.end_m - wall.start_m, np.append(-wall.outward, 0.0))
        for wall in walls(patches.plan_m)
    ]
    with np.errstate(divide="ignore", invalid="ignore"):
        for number, (start, edge, _) in enumerate(planes):
            across = way[:, 0] * edge[1] - way[:, 1] * edge[0]
            t = ((start[0] - at[0]) * edge[1] - (start[1] - at[1]) * edge[0]) / across
            s = ((start[0] - at[0]) * way[:, 1] - (start[1] - at[1]) * way[:, 0]) / across
            nearer = (
                (t >= -TOUCHING_M)
                & (s >= -1e-9)
                & (s <= 1.0 + 1e-9)
                & (t < best)
                & (way[:, :2] @ planes[number][2][:2] < 0)
            )
            best[nearer], hit[nearer] = np.maximum(t[nearer], 0.0), number
        level = np.where(way[:, 2] > 0, patches.height_m - at[2], at[2]) / np.abs(way[:, 2])
    level[way[:, 2] == 0] = np.inf
    flat = level < best
    best[flat], hit[flat] = level[flat], np.where(way[flat, 2] > 0, len(planes) + 1, len(planes))
    for number, box in enumerate(patches.boxes):
        enter, _, face = box.entered(at, way)
        nearer = (enter >= 0) & (enter < best)
        best[nearer] = enter[nearer]
        hit[nearer] = len(planes) + 2 + FACES * number + face[nearer]
    lux = np.zeros(share.shape)
    size = share * patches.area_m2[:, None]
    landed = at + np.where(np.isfinite(best), best, 0.0)[:, None] * way
    for number in np.unique(hit[hit >= 0]):
        mine = landed[hit == number]
        rows = np.flatnonzero(patches.flat == number)
        if not len(rows):
            continue
        cells = points[rows].reshape(-1, 3)
        nearest = np.concatenate(
            [
                np.argmin(np.linalg.norm(some[:, None] - cells, axis=-1), axis=1)
                for some in np.array_split(mine, 1 + len(mine) // 128)
            ]
        )
        np.add.at(lux, (rows[nearest // share.shape[1]], nearest % share.shape[1]), flux / RAYS)
    return np.asarray(np.where(size > 0, lux / np.where(size > 0, size, 1.0), 0.0))


def direct_from_lamp(
    patches: Patches,
    at_m: ArrayLike,
    aim_m: ArrayLike,
    lux_at_1m: float,
    beam_deg: float,
    per_side: int = 4,
) -> FloatArray:
    """(p,) mean illuminance a lamp in the room puts on each patch [lux]: the mean of
    spread_from_lamp.
    """
    share = patches.points(per_side)[1]
    return np.asarray(
        np.sum(
            spread_from_lamp(patches, at_m, aim_m, lux_at_1m, beam_deg, per_side) * share, axis=1
        )
    )
