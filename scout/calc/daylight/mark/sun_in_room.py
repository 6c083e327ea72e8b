"""The sun at a mark in a room: its beam through the windows, and by way of what it lands on."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scout.calc.daylight.mark.room_light import MarkLight, RoomLight
from scout.calc.daylight.sun.position import towards
from scout.calc.daylight.window.beam import reaches
from scout.calc.daylight.window.glazing import Glazing, plan_bearing_deg, shining
from scout.calc.daylight.window.pane import Pane, wings_of
from scout.calc.geometry import FloatArray
from scout.calc.held import MB, held
from scout.calc.radiosity import Box


def sun_scattered(
    room: RoomLight,
    mark: MarkLight,
    azimuth_deg: FloatArray,
    elevation_deg: FloatArray,
    normal_lux: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """What the sun brings to a mark but by its beam: straight from what it makes glow (coverings
    that scatter it, what frames a window), and by way of the room's surfaces.

    azimuth_deg, elevation_deg, normal_lux: (t,) the sun where it is up, and its light square on
        [lux]
    Returns: (t,) and (t,) lux; the latter 0 when the reflectances are not measured
    """
    suns = azimuth_deg.tobytes(), elevation_deg.tobytes(), normal_lux.tobytes()
    glowing, round_about = np.zeros(len(azimuth_deg)), np.zeros(len(azimuth_deg))
    for number, glass in enumerate(room.glazing):
        framed = glass.framed
        if not glass.spreads and mark.gain is None and framed is None:
            continue
        sun_on = _shining(glass, *suns)
        if sun_on is None:
            continue
        index, g_up, h_up, cos_up, passed = sun_on
        if framed is not None:
            luminance = framed.sun(g_up, h_up) * normal_lux[index][:, None]
            glowing[index] += luminance @ mark.direct.framing[number]
            if mark.reflected is not None:
                round_about[index] += luminance @ mark.reflected.framing[number]
        if not glass.spreads and mark.gain is None:
            continue
        area_m2, to = room.landed(number, g_up, h_up)
        if (
            glass.spreads
        ):  # the covering glows: the light that falls on it leaves evenly from the whole pane
            luminance = (
                passed
                * cos_up
                * area_m2.sum(axis=1)
                / (glass.pane.width_m * glass.pane.height_m)
                / np.pi
            )
            glowing[index] += luminance * mark.direct.spreading[number]
            if mark.reflected is not None:
                round_about[index] += luminance * mark.reflected.spreading[number]
        elif mark.gain is not None:
            lumens = area_m2 * (passed * cos_up)[:, None]
            assert to is not None
            round_about[index] += np.sum(lumens * mark.gain[to], axis=1)
    return glowing, round_about


def sun_beam(
    room: RoomLight,
    mark: MarkLight,
    azimuth_deg: FloatArray,
    elevation_deg: FloatArray,
    normal_lux: FloatArray,
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """(t,) lux of the unscattered sun on the mark's plane, and whether it reaches the mark,
    whichever way its plane looks; arguments as for sun_scattered.
    """
    suns = azimuth_deg.tobytes(), elevation_deg.tobytes(), normal_lux.tobytes()
    straight, lit = np.zeros(len(azimuth_deg)), np.zeros(len(azimuth_deg), dtype=bool)
    for glass in room.glazing:
        sun_on = None if glass.spreads else _shining(glass, *suns)
        if sun_on is None:
            continue
        index, g_up, h_up, _, passed = sun_on
        here = _reached(
            room.plan_m,
            room.height_m,
            glass.pane,
            room.boxes,
            mark.at_m,
            g_up.tobytes(),
            h_up.tobytes(),
        )
        turn = (glass.facing_deg or 0.0) - plan_bearing_deg(np.array(room.plan_m), glass.pane.wall)
        onto = np.maximum(towards(h_up, azimuth_deg[index] - turn) @ np.array(mark.normal), 0.0)
        straight[index] += np.where(here, passed * onto, 0.0)
        lit[index] |= here
    return straight, lit


# A room's planes and bounds ask for the same suns again and again: which of them shine on a pane is
# asked once for all planes, and which of them reach a mark once for all planes at it.
@held(256, MB)
def _shining(
    glass: Glazing, azimuth_deg: bytes, elevation_deg: bytes, normal_lux: bytes
) -> tuple[NDArray[np.intp], FloatArray, FloatArray, FloatArray, FloatArray] | None:
    suns = (np.frombuffer(part) for part in (azimuth_deg, elevation_deg, normal_lux))
    return shining(glass, *suns)


@held(256, MB)
def _reached(
    plan_m: tuple[tuple[float, float], ...],
    height_m: float,
    pane: Pane,
    boxes: tuple[Box, ...],
    at_m: tuple[float, float, float],
    g_deg: bytes,
    h_deg: bytes,
) -> NDArray[np.bool_]:
    wings = wings_of(plan_m, pane.wall, height_m)
    g, h = np.frombuffer(g_deg), np.frombuffer(h_deg)
    return reaches(plan_m, pane, at_m, g, h, wings, boxes)
