"""The daylight factor over many points of a room at once: the surfaces solved forwards once, then
read at every point.
"""

from __future__ import annotations

import numpy as np

from scout.calc.daylight.mark.patch_views import patch_views
from scout.calc.daylight.mark.room_light import UP
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.daylight.window.overcast import overcast_through
from scout.calc.daylight.window.pane import wings_of
from scout.calc.daylight.window.sky_view import sky_view
from scout.calc.geometry import FloatArray, inside, require
from scout.calc.radiosity import Box, Opening, at_points, solve
from scout.errors import OutOfRange
from scout.values import said


def daylight_factors(
    plan_m: tuple[tuple[float, float], ...],
    height_m: float,
    glazing: tuple[Glazing, ...],
    points_m: FloatArray,
    reflectance: tuple[float, ...] | None,
    *,
    ground_reflectance: float,
    doors: tuple[Opening, ...] = (),
    door_reflectance: float = 0.4,
    boxes: tuple[Box, ...] = (),
    box_reflectance: tuple[float, ...] = (),
) -> tuple[FloatArray, FloatArray | None]:
    """Light on level planes under a CIE overcast sky, for each lux of it outdoors.

    points_m:    (n, 3), inside the room [m]
    reflectance: of walls A, B ..., floor, ceiling, 0 to 0.999; None leaves out what comes by
        the surfaces
    Returns:     (n,) what comes straight through the windows, glass included; (n,) the same and
        what comes by way of the surfaces, or None
    Raises:      OutOfRange, naming the argument; also for a point outside the room
    Source:      sky_view straight; radiosity solved for all patches, then the contour factor of
        every patch at every point
    Limits:      as room_light, with which it agrees to rounding (with boxes, to their sampling)
    """
    require("height_m", height_m, above=0)
    require("ground_reflectance", ground_reflectance, least=0, most=1)
    at = require("points_m", points_m).reshape(-1, 3)
    plan = np.array(plan_m)
    if not np.all(inside(plan, at[:, :2])) or np.any(at[:, 2] < 0) or np.any(at[:, 2] > height_m):
        raise OutOfRange("points_m", None, said("refusal.light.in_room"))
    normals = np.tile(UP, (len(at), 1))
    straight = np.zeros(len(at))
    for glass in glazing:
        if glass.skyline is not None and glass.facing_deg is None:
            raise OutOfRange("facing_deg", None, said("refusal.sun.bearing_for_skyline"))
        wing = wings_of(plan_m, glass.pane.wall, height_m)
        view = sky_view(
            plan,
            glass.pane,
            glass.transmittance,
            at,
            normals,
            panels=8 if wing or glass.skyline is not None else 3 if boxes else 1,
            skyline=glass.skyline,
            facing_deg=glass.facing_deg or 0.0,
            wings=wing or None,
            panes=glass.panes,
            boxes=boxes,
            street=glass.street,
        )
        straight += overcast_through(view, ground_reflectance, glass) * glass.passes
    if reflectance is None:
        return straight, None
    if len(reflectance) != len(plan_m) + 2:
        raise OutOfRange(
            "reflectance",
            len(reflectance),
            said("refusal.light.each_surface", walls=len(plan_m)),
        )
    ready = patch_views(plan_m, height_m, glazing, doors, boxes)
    patches = ready.room.patches
    rho = ready.reflectances(reflectance, door_reflectance, box_reflectance)
    sent = solve(ready.room.factors, rho, rho * ready.lit_by_overcast(ground_reflectance))
    return straight, straight + at_points(patches, at, UP) @ sent
