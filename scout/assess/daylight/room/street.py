"""The street before a room's windows: what is recorded of it, and what is taken where nobody measured."""

from __future__ import annotations

import numpy as np

from scout.calc.daylight.outside import street as solved
from scout.calc.daylight.outside.skyline import skyline_deg
from scout.records.sheet import RoomRecord, Street
from scout.values import Figure, Said, said

# A street nobody measured (common practice): usual, and from narrow with dark walls to wide with pale
# ones; the building of the room as high as those opposite, half or twice as high.
USUAL_FACADE, DARK_FACADE, PALE_FACADE = 0.30, 0.10, 0.60
USUAL_STREET_M, NARROW_M, WIDE_M = 12.0, 6.0, 30.0
STOREY_M = 3.0
STANDS_DEG = 5.0  # a skyline lower than this before a window is no street


def street_open(room: RoomRecord) -> tuple[str, ...]:
    """Paths of what is not measured of the street before the windows, most telling first."""
    street = room.street or Street()
    parts = ("facade_reflectance", "building_height_m", "width_m")
    return tuple(f"room.street.{part}" for part in parts if getattr(street, part) is None)


def street_words(room: RoomRecord) -> Said:
    """What is taken of the street."""
    given = room.street or Street()
    width = Figure(USUAL_STREET_M, "m", NARROW_M, WIDE_M)
    facade = Figure(100 * USUAL_FACADE, "%", 100 * DARK_FACADE, 100 * PALE_FACADE)
    return said(
        "light.street",
        width=width if given.width_m is None else Figure(given.width_m, "m"),
        facade=facade
        if given.facade_reflectance is None
        else Figure(100 * given.facade_reflectance, "%"),
        own=None if given.building_height_m is None else Figure(given.building_height_m, "m"),
        like=said("light.street_like") if given.building_height_m is None else None,
    )


def street_before(
    room: RoomRecord,
    skyline: tuple[tuple[float, float], ...] | None,
    facing_deg: float | None,
    pale_end: bool | None = None,
) -> solved.Street | None:
    """The street that a window's skyline is made of; `pale_end` False or True: as dark or as pale as what
    is not measured may make it.
    """
    if skyline is None or facing_deg is None:
        return None
    given = room.street or Street()
    g = np.arange(-60.0, 61.0, 5.0)
    stands = np.clip(skyline_deg(skyline, facing_deg + g), 0.0, 85.0)
    if float(stands.mean()) < STANDS_DEG:
        return None

    def taken(value: float | None, dark: float, usual: float, pale: float) -> float:
        if value is not None:
            return value
        return {None: usual, False: dark, True: pale}[pale_end]

    width = taken(given.width_m, WIDE_M, USUAL_STREET_M, NARROW_M)
    floor_m = max(STOREY_M * (room.storey or 0), 0.0)
    rise = float(np.mean(np.tan(np.radians(stands)) / np.cos(np.radians(g))))
    opposite = floor_m + solved.EYE_M + width * rise
    own = taken(given.building_height_m, 2.0 * opposite, opposite, 0.5 * opposite)
    own = max(own, floor_m + (room.height_m or STOREY_M))
    return solved.Street(
        width,
        opposite,
        own,
        floor_m,
        taken(given.facade_reflectance, DARK_FACADE, USUAL_FACADE, PALE_FACADE),
    )
