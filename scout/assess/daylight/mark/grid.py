"""The daylight factor over the plan of a room, on a level grid."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from scout.assess.daylight.mark.marks import ground_of
from scout.assess.daylight.place.where import facings_of, reason
from scout.assess.daylight.room.reckoned import reckoned
from scout.calc.daylight.mark.factor_grid import daylight_factors
from scout.calc.geometry import FloatArray, inside, require
from scout.errors import OutOfRange, Refused
from scout.records.sheet import RoomSheet
from scout.values import Said, said

WORK_PLANE_M = 0.85
MOST_POINTS = 4000


@dataclass(frozen=True)
class DaylightGrid:
    """Factors at the middles of cells: rows run up the plan (y), columns to the right (x); 0
    outside the room, where `inside` is False.
    """

    height_m: float
    x_m: FloatArray  # (columns,)
    y_m: FloatArray  # (rows,)
    inside: NDArray[np.bool_]  # (rows, columns)
    factor_pct: FloatArray | None = None  # (rows, columns)
    sky_pct: FloatArray | None = (
        None  # the part that comes straight through the windows, sky, ground and facades
    )
    mean_pct: float | None = None
    least_pct: float | None = None
    most_pct: float | None = None
    assumed: tuple[Said, ...] = ()
    unknown: Said | None = None


def daylight_grid(
    sheet: RoomSheet, step_m: float = 0.5, *, height_m: float = WORK_PLANE_M, on: date | None = None
) -> DaylightGrid:
    """The daylight factor over the plan.

    step_m:   cells are no larger than this, 0.05 to 10 [m];  height_m: of the grid above the
        floor [m]
    on:       only turns a magnetic bearing that carries no date, which only a skyline needs
    Raises Refused for a step or a height out of reach, or a grid of more than 4000 cells.
    """
    nothing = DaylightGrid(height_m, np.zeros(0), np.zeros(0), np.zeros((0, 0), dtype=bool))
    room = sheet.room
    try:
        require("step_m", step_m, least=0.05, most=10)
        require("height_m", height_m, least=0, most=max(room.height_m or 100.0, 0.01))
    except OutOfRange as refusal:
        raise Refused(refusal.path, refusal.given, refusal.because) from None
    if room.setting == "exterior":
        return replace(nothing, unknown=said("light.open_sky"))
    ready = reckoned(sheet, facings_of(sheet, on or date(2026, 1, 1)))
    if isinstance(ready, Said):
        return replace(nothing, unknown=ready)
    plan = np.array(ready.plan_m)
    x, y = (
        _middles(float(plan[:, axis].min()), float(plan[:, axis].max()), step_m) for axis in (0, 1)
    )
    if len(x) * len(y) > MOST_POINTS:
        raise Refused("step_m", step_m, said("refusal.light.cells", most=MOST_POINTS))
    across, up = np.meshgrid(x, y)
    within = inside(plan, np.stack([across, up], axis=-1), edge_m=0.0)
    points = np.column_stack([across[within], up[within], np.full(int(within.sum()), height_m)])
    ground, of_ground = ground_of(sheet)
    try:
        straight, whole = daylight_factors(
            ready.plan_m,
            ready.height_m,
            ready.glazing,
            points,
            ready.levels,
            ground_reflectance=ground,
            doors=ready.doors,
            door_reflectance=ready.door_reflectance,
            boxes=ready.boxes,
            box_reflectance=ready.box_levels,
        )
    except OutOfRange as refusal:
        return replace(nothing, unknown=said("light.refused", why=reason(refusal)))

    def laid(values: FloatArray) -> FloatArray:
        out = np.zeros(within.shape)
        out[within] = 100.0 * values
        return out

    assumed = tuple(dict.fromkeys((said("light.grid_sky"), *of_ground, *ready.assumed)))
    if whole is None or not len(whole):
        return DaylightGrid(height_m, x, y, within, None, laid(straight), assumed=assumed)
    return DaylightGrid(
        height_m,
        x,
        y,
        within,
        laid(whole),
        laid(straight),
        round(100.0 * float(whole.mean()), 3),
        round(100.0 * float(whole.min()), 3),
        round(100.0 * float(whole.max()), 3),
        assumed,
    )


def _middles(low: float, high: float, step_m: float) -> FloatArray:
    count = max(1, int(np.ceil((high - low) / step_m - 1e-9)))
    return low + (np.arange(count) + 0.5) * (high - low) / count
