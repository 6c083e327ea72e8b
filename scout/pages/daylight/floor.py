"""Daylight factors over the floor of a room."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from scout.assess.daylight.mark.grid import WORK_PLANE_M, daylight_grid
from scout.assess.daylight.place.where import facings_of
from scout.drawing.charts.factor_grid import FactorGrid, factor_plan
from scout.drawing.plan.rim import north_of
from scout.drawing.shapes import Drawing
from scout.pages import assessing
from scout.pages.daylight.wanted import Sheet
from scout.records import RoomSheet
from scout.usecases.work import Work
from scout.values import Said

GRID = 28  # cells along the longer side of the floor
LEAST_STEP_M = 0.15


@dataclass(frozen=True)
class FloorPicture:
    """Daylight factors over the floor: the drawing, or why there is none; what was assumed."""

    drawing: Drawing | None
    assumed: tuple[Said, ...] = ()
    unknown: Said | None = None


def floor(work: Work, room_id: int, on: date, *, wanted: Sheet | None = None) -> FloorPicture:
    """Daylight factors on a grid at the height of a table. Raises NotFound."""
    return floor_of(assessing.sheet(work, room_id), on, wanted or Sheet())


def floor_of(
    sheet: RoomSheet, on: date, wanted: Sheet, size_mm: tuple[float, float] | None = None
) -> FloorPicture:
    """Daylight factors of a room sheet on a grid at the height of a table; size_mm: of the drawing,
    left out the sheet's.
    """
    corners = sheet.room.corners_m
    longest = (
        max(
            (
                max(point[axis] for point in corners) - min(point[axis] for point in corners)
                for axis in (0, 1)
            ),
            default=0.0,
        )
        if corners
        else 0.0
    )
    height = (
        min(WORK_PLANE_M, 0.5 * sheet.room.height_m)
        if sheet.room.height_m is not None
        else WORK_PLANE_M
    )
    found = daylight_grid(
        sheet, min(max(longest / GRID, LEAST_STEP_M), 10.0), height_m=height, on=on
    )
    pct = found.sky_pct if found.factor_pct is None else found.factor_pct
    if pct is None:
        return FloorPicture(None, found.assumed, found.unknown)
    grid = FactorGrid(
        found.x_m,
        found.y_m,
        pct,
        found.inside,
        found.height_m,
        reflected=found.factor_pct is not None,
    )
    drawn = factor_plan(
        sheet.room,
        grid,
        marks=sheet.marks,
        north=north_of(sheet.room, facings_of(sheet, on)),
        size_mm=size_mm or wanted.size_mm,
        units=wanted.units,
        **wanted.letters,
        explained=size_mm is None,
    )
    return FloorPicture(drawn, found.assumed, found.unknown)
