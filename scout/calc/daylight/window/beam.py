"""The sun's beam through a pane, ray by ray for many instants at once: what it lands on, and
whether it reaches a point.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.daylight.window.pane import CORNER_M, FACING_AWAY, Pane, Wings, lit_rectangle
from scout.calc.geometry import FloatArray, walls
from scout.calc.radiosity.boxes import FACES, Box, unhidden
from scout.calc.radiosity.visibility import INWARD_M, is_convex, sees


@dataclass(frozen=True)
class Hits:
    """Where a beam lands: (t, k) rays. surface: the flat, as of Patches; area_m2 of glass each
    stands for, 0 when dark.
    """

    point_m: FloatArray  # (t, k, 3)
    surface: NDArray[np.intp]  # (t, k)
    area_m2: FloatArray  # (t, k)


def beam_hits(
    plan_m: ArrayLike,
    height_m: float,
    pane: Pane,
    g_deg: FloatArray,
    h_deg: FloatArray,
    *,
    per_side: int = 6,
    wings: Wings | None = None,
    boxes: Sequence[Box] = (),
) -> Hits:
    """Rays spread evenly over the lit rectangle of the pane, followed to the first surface.

    g_deg, h_deg: (t,) sun to the right of square on, and its height;  per_side: rays across and up
    Limits:       as many places as there are rays: right in the sum, coarse at the edges of a
        patch (sun_patches cuts exactly)
    """
    plan_walls = walls(plan_m)
    own = plan_walls[pane.wall]
    rectangle = lit_rectangle(pane, g_deg, h_deg)
    g, h = np.radians(g_deg), np.radians(h_deg)
    faces = np.cos(g) > FACING_AWAY
    cos_g = np.where(faces, np.cos(g), 1.0)
    tan_g, tan_p = (np.sin(g) / cos_g)[:, None], (np.tan(h) / cos_g)[:, None]
    share = (np.arange(per_side) + 0.5) / per_side
    across, up = (axis.ravel() for axis in np.meshgrid(share, share))
    lit = faces & (rectangle.area_m2 > 0)
    u0, u1, z0, z1 = (
        np.where(lit, edge, 0.0)[:, None]
        for edge in (rectangle.u0, rectangle.u1, rectangle.z0, rectangle.z1)
    )
    u, z = u0 + across * (u1 - u0), z0 + up * (z1 - z0)
    area = np.where(lit, rectangle.area_m2, 0.0)[:, None] / per_side**2 * np.ones_like(u)
    if wings:
        area = np.where(z > wings.shade_m(u, tan_g, tan_p), area, 0.0)
    depth, surface = np.full(u.shape, np.inf), np.full(u.shape, -1, dtype=np.intp)
    for number, other in enumerate(plan_walls):
        if number == pane.wall:
            continue
        (ua, da), (ub, db) = (
            ((p - own.start_m) @ own.along, -((p - own.start_m) @ own.outward))
            for p in (other.start_m, other.end_m)
        )
        side_a, side_b = ua + da * tan_g - u, ub + db * tan_g - u
        crosses = (side_a > 0) != (side_b > 0)
        met = da + side_a / np.where(crosses, side_a - side_b, 1.0) * (db - da)
        nearer = crosses & (met > CORNER_M) & (met < depth)
        depth, surface = np.where(nearer, met, depth), np.where(nearer, number, surface)
    missed = ~np.isfinite(depth)
    depth, area = np.where(missed, 0.0, depth), np.where(missed, 0.0, area)
    landing = z - depth * tan_p
    floor, ceiling = landing < 0, landing > height_m
    safe = np.where(np.abs(tan_p) > 1e-12, tan_p, 1.0)
    depth = np.where(floor, z / safe, np.where(ceiling, (z - height_m) / safe, depth))
    surface = np.where(floor, len(plan_walls), np.where(ceiling, len(plan_walls) + 1, surface))
    if boxes:
        level = -tan_g[..., None] * own.along - own.outward
        way = np.concatenate([level, -tan_p[..., None]], axis=-1)
        start = np.concatenate([own.start_m + u[..., None] * own.along, z[..., None]], axis=-1)
    for number, box in enumerate(boxes):
        enter, _, face = box.entered(start, way)
        nearer = (enter >= 0) & (enter < depth)
        depth = np.where(nearer, enter, depth)
        surface = np.where(nearer, len(plan_walls) + 2 + FACES * number + face, surface)
    landing = z - depth * tan_p
    plan = own.start_m + (u - depth * tan_g)[..., None] * own.along - depth[..., None] * own.outward
    return Hits(
        np.concatenate([plan, np.clip(landing, 0.0, height_m)[..., None]], axis=-1), surface, area
    )


def reaches(
    plan_m: ArrayLike,
    pane: Pane,
    point_m: ArrayLike,
    g_deg: FloatArray,
    h_deg: FloatArray,
    wings: Wings | None = None,
    boxes: Sequence[Box] = (),
) -> NDArray[np.bool_]:
    """(t,) whether the sun, in the open, shines through the pane onto a point of the room."""
    plan = np.asarray(plan_m, dtype=np.float64)
    own = walls(plan)[pane.wall]
    point = np.asarray(point_m, dtype=np.float64)
    along, depth = (
        float((point[:2] - own.start_m) @ own.along),
        float(-((point[:2] - own.start_m) @ own.outward)),
    )
    g, h = np.radians(g_deg), np.radians(h_deg)
    faces = (np.cos(g) > FACING_AWAY) & (depth > 0)
    cos_g = np.where(faces, np.cos(g), 1.0)
    tan_g, tan_p = np.sin(g) / cos_g, np.tan(h) / cos_g
    u, z = along + depth * tan_g, point[2] + depth * tan_p
    rectangle = lit_rectangle(pane, g_deg, h_deg)
    lit = faces & (u > rectangle.u0) & (u < rectangle.u1) & (z > rectangle.z0) & (z < rectangle.z1)
    if wings:
        lit &= z > wings.shade_m(u, tan_g, tan_p)
    if (boxes or not is_convex(plan)) and np.any(lit):
        target = (
            own.start_m
            + np.where(lit, u, pane.offset_m)[:, None] * own.along
            - INWARD_M * own.outward
        )
        lit &= sees(plan, point[:2], target)
        lit &= unhidden(boxes, point, np.column_stack([target, np.where(lit, z, pane.sill_m)]))
    return np.asarray(lit)


def nearest_patch(
    centre_m: FloatArray, flat: NDArray[np.intp], point_m: FloatArray, surface: NDArray[np.intp]
) -> NDArray[np.intp]:
    """(...) the patch of the same flat nearest to each landing point (..., 3); 0 where none is.

    centre_m, flat: (p, 3) and (p,), as of Patches;  surface: (...), as of Hits
    """
    found = np.zeros(surface.shape, dtype=np.intp)
    for number in np.unique(surface):
        own = np.flatnonzero(flat == number)
        here = surface == number
        if number < 0 or not len(own):
            continue
        centre, point = centre_m[own], point_m[here]
        squared = np.sum(centre**2, axis=1) - 2.0 * point @ centre.T
        found[here] = own[np.argmin(squared, axis=1)]
    return found
