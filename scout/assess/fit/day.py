"""Daylight at places that are no marks: along a walk, on a background. From the factors of the same
room, overcast, at noon.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scout.assess.answers import DaylightAnswer
from scout.assess.daylight.place.where import facings_of
from scout.assess.daylight.room.reckoned import LightRoom, light_room
from scout.calc.geometry import FloatArray
from scout.records.sheet import DEFAULT_GROUND_REFLECTANCE, RoomSheet
from scout.values import Said, said

OFF_SURFACE_M = 0.02  # a place on a wall is taken a little before it


def overcast_lux(
    sheet: RoomSheet, daylight: DaylightAnswer | None, points_m: FloatArray, normals: FloatArray
) -> FloatArray | Said:
    """Lux of an overcast noon at points (n, 3) on planes that look the way of the normals (n, 3),
    or why it is not known.

    Outdoors the sky over one piece of ground is the same everywhere: the light at the subject's
        mark holds for all of it.
    """
    unknown = said("fit.daylight_unknown")
    if daylight is None:
        return unknown
    mark = next(
        (
            row
            for name in ("subject", *daylight.marks)
            if (row := daylight.marks.get(name)) is not None and row.overcast_lux_noon is not None
        ),
        None,
    )
    if mark is None or mark.overcast_lux_noon is None:
        first = next(iter(daylight.marks.values()), None)
        return (first.unknown if first is not None else None) or daylight.unknown or unknown
    if sheet.room.setting == "exterior":
        lux = (
            mark.camera_overcast_lux_noon
            if mark.camera_overcast_lux_noon is not None
            else mark.overcast_lux_noon
        )
        return np.full(len(points_m), lux)
    if not mark.daylight_factor_pct or not mark.series:
        return np.zeros(len(points_m)) if mark.daylight_factor_pct == 0 else unknown
    outside = mark.overcast_lux_noon / (mark.daylight_factor_pct / 100.0)
    ground = sheet.location.ground_reflectance if sheet.location is not None else None
    room = light_room(
        sheet, facings_of(sheet, mark.series[0].at.date()), _points(points_m), _points(normals)
    )
    if not isinstance(room, LightRoom):
        return room
    factors = []
    for one in room.light.marks:
        assert one.reflected is not None
        reflectance = DEFAULT_GROUND_REFLECTANCE if ground is None else ground
        factors.append(one.direct.overcast(reflectance) + one.reflected.overcast(reflectance))
    return outside * np.array(factors)


def _points(
    values: Sequence[Sequence[float]] | FloatArray,
) -> tuple[tuple[float, float, float], ...]:
    return tuple((float(x), float(y), float(z)) for x, y, z in values)
