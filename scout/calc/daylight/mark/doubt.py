"""How far light at a mark moves with what it is worked out from: first order, by figures that the
engine holds already.

reflectance   one solution forwards serves every surface and every mark: with w the importance of a
              patch for the mark and e all the light that falls on it, dE / d rho = w e
facing        a room turned by d sees the sun d further back: the beam is asked again for each turn,
              the rest of the light for the outermost ones
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from scout.calc.daylight.mark.clear_day import ClearParts, Spot, clear_lux
from scout.calc.daylight.mark.patch_views import patch_views
from scout.calc.daylight.mark.room_light import MarkLight
from scout.calc.daylight.outside.sky import direct_normal_lux
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.geometry import FloatArray
from scout.calc.radiosity import CLOSED_SINGLE, Box, Opening, importance

TURN_STEP_DEG = 7.5
MOST_TURNS = 24
EACH = 3  # instants that the slower part of the light is worked out for


@lru_cache(maxsize=16)
def falling_on_patches(
    plan_m: tuple[tuple[float, float], ...],
    height_m: float,
    glazing: tuple[Glazing, ...],
    reflectance: tuple[float, ...],
    doors: tuple[Opening, ...],
    door_reflectance: float,
    ground_reflectance: float,
    boxes: tuple[Box, ...] = (),
    box_reflectance: tuple[float, ...] = (),
) -> tuple[FloatArray, NDArray[np.intp]]:
    """(p,) lumens that fall on each patch for each lux of an overcast sky outdoors, all bounces
    counted, and (p,) which surface it belongs to; arguments as for room_light.
    """
    ready = patch_views(plan_m, height_m, glazing, doors, boxes)
    rho = ready.reflectances(reflectance, door_reflectance, box_reflectance)
    straight = ready.lit_by_overcast(ground_reflectance)
    room = ready.room
    # Lumens L that fall are L = A s + F' rho L, by reciprocity: what `importance` solves.
    lumens = straight * room.patches.area_m2
    whole = max(float(lumens.sum()), 1e-30)
    each = importance(
        room.factors,
        room.patches.area_m2,
        rho,
        lumens / whole,
        closed=CLOSED_SINGLE,
        symmetric=room.symmetric,
    )
    return whole * each, room.patches.surface


def by_reflectance(
    mark: MarkLight, lumens: FloatArray, surface: NDArray[np.intp], surfaces: int
) -> FloatArray:
    """(surfaces,) by how much the light at a mark grows when a surface reflects relatively more:
    d E / d ln rho, for each lux of the overcast sky outdoors.

    lumens, surface: as falling_on_patches
    Source: derivative of the radiosity equation; checked by solving again (see the tests)
    """
    if mark.gain is None:
        return np.zeros(surfaces)
    own = surface < surfaces
    return np.asarray(np.bincount(surface[own], (mark.gain * lumens)[own], surfaces))


def turns_deg(doubt_deg: float) -> FloatArray:
    """Turns of the room either way within the doubt of its facing, so close that no spell of sun
    slips between two.
    """
    each = min(MOST_TURNS // 2, max(1, int(np.ceil(doubt_deg / TURN_STEP_DEG - 1e-9))))
    steps = np.arange(1, each + 1) * (doubt_deg / each)
    return np.concatenate([-steps[::-1], steps])


def turned_lux(
    spot: Spot,
    light: ClearParts,
    at_s: FloatArray,
    azimuth_deg: FloatArray,
    elevation_deg: FloatArray,
    turns: FloatArray,
    *,
    outside_lux: float,
    ground_reflectance: float,
) -> FloatArray:
    """(turns, t) clear-sky light at a mark with the room turned clockwise by each of `turns` [deg].

    light: as clear_lux gives it for the same instants
    turns: as turns_deg gives them, the outermost first and last
    Limits: a skyline turns with the room, as one read by the same compass does; the beam exact; the
        rest worked out for the outermost turns at every third instant, between them by parabolas
        and straight lines of its logarithm
    """
    normal = direct_normal_lux(elevation_deg, 1.0) * outside_lux
    seen = (azimuth_deg - turns[:, None]) % 360.0
    wide = (len(turns), 1)
    beam, _ = spot.beam(
        seen.ravel(), np.tile(elevation_deg, wide).ravel(), np.tile(normal, wide).ravel()
    )
    order = np.argsort(at_s)
    some = np.unique(np.append(order[::EACH], order[-1:]))
    some = some[np.argsort(at_s[some])]
    ends = clear_lux(
        spot,
        seen[[0, -1]][:, some].ravel(),
        np.tile(elevation_deg[some], 2),
        outside_lux=outside_lux,
        ground_reflectance=ground_reflectance,
        beam=False,
    ).lux.reshape(2, -1)
    own = np.maximum(light.lux - light.beam, 1e-12)
    low, high = (
        np.interp(at_s, at_s[some], np.log(np.maximum(end, 1e-12) / own[some])) for end in ends
    )
    # the parabola through both outermost turns and none
    x = (turns / turns[-1])[:, None]
    moved = x * (high - low) / 2.0 + x**2 * (high + low) / 2.0
    return np.asarray(beam.reshape(seen.shape) + own * np.exp(moved))
