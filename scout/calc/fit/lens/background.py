"""What a lens sees behind the subject, as a grid of rays: where each ends, and how bright the lamps
make it there.

camera o---( subject )-----| * * *     rays through the frame, past the subject's outline, to wall,
ceiling or floor
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.floor.space import Space, sees
from scout.calc.fit.lens.camera import View
from scout.calc.fit.lens.through import view_sees
from scout.calc.geometry import FloatArray, require, walls
from scout.calc.light.photometry import illuminance_lux

RAYS_ACROSS, RAYS_UP = 9, 5


@dataclass(frozen=True)
class Behind:
    """The ends of the rays: (n, 3) places, (n, 3) the way each surface looks, and the surfaces'
    names.
    """

    places_m: FloatArray
    normals: FloatArray
    surfaces: tuple[str, ...]


def behind(space: Space, view: View) -> Behind:
    """Where a grid of rays spread evenly over the frame ends: wall, floor or ceiling, whichever
    comes first. Rays into the open are left out.

    Raises: OutOfRange
    Limits: people and furniture hide nothing
    """
    half_w, half_h = view.tangents
    right, up, forward = view.axes
    across = (np.arange(RAYS_ACROSS) + 0.5) / RAYS_ACROSS * 2.0 - 1.0
    high = (np.arange(RAYS_UP) + 0.5) / RAYS_UP * 2.0 - 1.0
    grid_a, grid_h = (grid.ravel() for grid in np.meshgrid(across * half_w, high * half_h))
    rays = forward + grid_a[:, None] * right + grid_h[:, None] * up
    camera = np.asarray(view.at_m, dtype=np.float64)
    planes: list[tuple[str, FloatArray, FloatArray]] = [
        ("floor", np.array([0.0, 0.0, -1.0]), np.zeros(3))
    ]
    if space.ceiling_m is not None:
        planes.append(("ceiling", np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.0, space.ceiling_m])))
    named = walls(space.plan_m)
    planes += [
        (wall.letter, np.array([*wall.outward, 0.0]), np.array([*wall.start_m, 0.0]))
        for wall in named
    ]
    best = np.full(len(rays), np.inf)
    which = np.full(len(rays), -1)
    for number, (_, normal, point) in enumerate(planes):
        rate = rays @ normal
        ahead = rate > 1e-9
        t = np.where(ahead, float((point - camera) @ normal) / np.where(ahead, rate, 1.0), np.inf)
        first_wall = len(planes) - len(named)
        if number >= first_wall:
            wall = named[number - first_wall]
            reach = np.where(np.isfinite(t), t, 0.0)
            along = ((camera + reach[:, None] * rays)[:, :2] - wall.start_m) @ wall.along
            ahead &= (along >= -1e-9) & (along <= wall.length_m + 1e-9)
        hit = ahead & (t > 1e-9) & (t < best)
        best, which = np.where(hit, t, best), np.where(hit, number, which)
    found = which >= 0
    if view.doorway is not None:
        # What ends on the ground outside or beside the opening is not the room behind the subject.
        found[found] = view_sees(view, space.plan_m, camera + best[found, None] * rays[found])
    places = camera + best[found, None] * rays[found]
    return Behind(
        places,
        np.array([-planes[number][1] for number in which[found]]).reshape(-1, 3),
        tuple(planes[number][0] for number in which[found]),
    )


def lamp_lux(
    space: Space,
    seen: Behind,
    lamp_m: ArrayLike,
    intensity_cd: float,
    aim_m: ArrayLike | None,
    beam_deg: float | None,
) -> FloatArray:
    """(n,) lux of one lamp on what is seen, by inverse square, cosine and beam; nothing where a
    wall stands between. Raises OutOfRange.

    Limits: a point of light; the subject's own shadow and what surfaces send back are left out
    """
    require("intensity_cd", intensity_cd, least=0)
    lux = illuminance_lux(
        seen.places_m, lamp_m, intensity_cd, aim_m=aim_m, beam_deg=beam_deg, normal=seen.normals
    )
    lit = sees(
        space.plan_m,
        seen.places_m[:, :2] + 1e-3 * seen.normals[:, :2],
        np.asarray(lamp_m, dtype=np.float64)[:2],
    )
    return np.asarray(np.where(lit, lux, 0.0))
