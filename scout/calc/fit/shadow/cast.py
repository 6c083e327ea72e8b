"""The shadow of head and shoulders as an outline on whatever surface it falls on, and whether a
lens sees it.

 (  )   head: 0.18 m wide, its top 0.15 m over the face's mark       the outline stands upright,
 square to the light's way in plan;
/----\\  shoulders: 0.44 m                                           each corner is carried on along
its ray to the surface
|    |  chest, down to 0.6 m under the mark
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.floor.space import BoolArray, Space, sees
from scout.calc.fit.lens.camera import View, frame_planes
from scout.calc.fit.lens.through import view_sees
from scout.calc.fit.shadow.landing import SHADOW_FREE_M
from scout.calc.geometry import FloatArray, onward, require, walls

HEAD_WIDTH_M, HEAD_ABOVE_M = 0.18, 0.15
SHOULDERS_M, CHEST_DOWN_M = 0.44, 0.60
# Across and up from the face's mark, round the outline; sizes of a grown person (common practice).
_ARC = np.radians(np.linspace(200.0, -20.0, 9))
OUTLINE = np.array(
    [
        (-0.20, -CHEST_DOWN_M),
        (-SHOULDERS_M / 2, -0.25),
        (-0.06, -0.15),
        *((HEAD_WIDTH_M / 2 * np.cos(a), 0.02 + 0.13 * np.sin(a)) for a in _ARC),
        (0.06, -0.15),
        (SHOULDERS_M / 2, -0.25),
        (0.20, -CHEST_DOWN_M),
    ]
)
PROBES = np.array(
    [
        (0.0, HEAD_ABOVE_M),
        (-HEAD_WIDTH_M / 2, 0.02),
        (HEAD_WIDTH_M / 2, 0.02),
        (-SHOULDERS_M / 2, -0.25),
        (SHOULDERS_M / 2, -0.25),
    ]
)


@dataclass(frozen=True)
class Cast:
    """A shadow on one surface. `beyond_m`: from the head to there, along the ray through the head's
    middle; None when that ray falls elsewhere.
    """

    surface: str
    polygon_m: FloatArray  # (n, 3)
    beyond_m: float | None


def upright_m(light_m: ArrayLike, face_m: ArrayLike, outline: FloatArray = OUTLINE) -> FloatArray:
    """(..., n, 3) the outline set up at the face (3,), square to the way from each light (..., 3)
    in plan. Raises OutOfRange.
    """
    light, face = require("light_m", light_m), require("face_m", face_m)
    way = (face - light)[..., :2]
    size = np.linalg.norm(way, axis=-1, keepdims=True)
    way = np.where(size > 1e-9, way / np.maximum(size, 1e-9), np.array([0.0, 1.0]))
    across = np.stack([way[..., 1], -way[..., 0]], axis=-1)
    plan = face[:2] + across[..., None, :] * outline[:, :1]
    return np.concatenate(
        [plan, np.broadcast_to(face[2] + outline[:, 1:], (*plan.shape[:-1], 1))], axis=-1
    )


def casts(
    space: Space, light_m: ArrayLike, shape_m: ArrayLike, *, has_walls: bool = True
) -> tuple[Cast, ...]:
    """The shadow of a flat outline on every surface that some of it falls on.

    light_m:  (3,); shape_m: (n, 3), between the light and the surfaces
    Returns:  polygons cut off at the edges of their surface; nothing under an open sky
    Raises:   OutOfRange
    Source:   straight lines from the light through each corner, cut by each plane; polygon
        clipping (Sutherland and Hodgman)
    Limits:   a point of light: the edge is blurred by the penumbra; furniture catches nothing;
        of a floor that is not convex, the outline's hull
    """
    light, shape = require("light_m", light_m), require("shape_m", shape_m)
    found = []
    centre = shape.mean(axis=0)
    planes: list[tuple[str, FloatArray, FloatArray]] = [
        ("floor", np.array([0.0, 0.0, -1.0]), np.zeros(3))
    ]
    if space.ceiling_m is not None:
        planes.append(("ceiling", np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.0, space.ceiling_m])))
    by_letter = {wall.letter: wall for wall in walls(space.plan_m)} if has_walls else {}
    planes += [
        (letter, np.array([*wall.outward, 0.0]), np.array([*wall.start_m, 0.0]))
        for letter, wall in by_letter.items()
    ]
    for name, normal, point in planes:
        gap = float((point - light) @ normal)
        if gap <= 1e-9:
            continue
        # Of the outline only what the light carries towards this plane.
        ahead = clipped(shape, normal, float(light @ normal) + 1e-3 * gap)
        if len(ahead) < 3:
            continue
        rate = (ahead - light) @ normal
        landed = light + (gap / rate)[:, None] * (ahead - light)
        wall = by_letter.get(name)
        if wall is not None:
            along = np.array([*wall.along, 0.0])
            start = np.array([*wall.start_m, 0.0])
            landed = clipped(landed, along, float(start @ along))
            landed = clipped(landed, -along, -float(start @ along) - wall.length_m)
            landed = clipped(landed, np.array([0.0, 0.0, 1.0]), 0.0)
            if space.ceiling_m is not None:
                landed = clipped(landed, np.array([0.0, 0.0, -1.0]), -space.ceiling_m)
        else:
            landed = _on_floor(space.plan_m, landed) if has_walls else landed
        if len(landed) < 3 or _area_m2(landed) < 1e-4:
            continue
        if wall is not None and not bool(
            sees(space.plan_m, landed.mean(axis=0)[:2] - 1e-3 * wall.outward, centre[:2])
        ):
            continue
        middle = float((centre - light) @ normal)
        on_it = middle > 1e-9 and _holds(landed, light + gap / middle * (centre - light), normal)
        beyond = float((gap / middle - 1.0) * np.linalg.norm(centre - light)) if on_it else None
        found.append(Cast(name, landed, beyond))
    return tuple(found)


def lens_sees(space: Space, view: View, polygon_m: FloatArray, *, has_walls: bool = True) -> bool:
    """Whether any of a polygon (n, 3) on a surface is in the lens's frame, no wall between. Raises
    OutOfRange. Limits: people hide nothing.
    """
    normals, forward = frame_planes(view)
    camera = np.asarray(view.at_m, dtype=np.float64)
    part = polygon_m
    for normal in (*normals, forward):
        part = clipped(part, normal, float(camera @ normal) + 1e-9)
        if len(part) < 3:
            return False
    if not has_walls:
        return True
    middle = part.mean(axis=0)[:2]
    inwards = middle + 1e-3 * (camera[:2] - middle) / max(
        float(np.linalg.norm(camera[:2] - middle)), 1e-9
    )
    return bool(view_sees(view, space.plan_m, inwards))


def landing_points(
    space: Space, lights_m: FloatArray, points_m: FloatArray, *, has_walls: bool = True
) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Where the lines from lights (l, 3) through points (l, p, 3) first meet wall or ceiling.

    Returns: places (l, p, 3), how far beyond the points (l, p) [m], and whether they fall there
        at all (l, p): not on the floor, not into the open
    Limits:  a wall behind another is told apart by distance along the line
    """
    way = points_m - lights_m[:, None, :]
    reach = np.linalg.norm(way, axis=-1)
    best = np.full(reach.shape, np.inf)
    on_floor = np.where(
        way[..., 2] < -1e-12,
        -lights_m[:, None, 2] / np.where(way[..., 2] < -1e-12, way[..., 2], -1.0),
        np.inf,
    )
    if space.ceiling_m is not None:
        rising = way[..., 2] > 1e-12
        best = np.minimum(
            best,
            np.where(
                rising,
                (space.ceiling_m - lights_m[:, None, 2]) / np.where(rising, way[..., 2], 1.0),
                np.inf,
            ),
        )
    for wall in walls(space.plan_m) if has_walls else ():
        rate = way[..., :2] @ wall.outward
        ahead = rate > 1e-12
        t = ((wall.start_m - lights_m[:, :2]) @ wall.outward)[:, None] / np.where(ahead, rate, 1.0)
        along = (lights_m[:, None, :2] + t[..., None] * way[..., :2] - wall.start_m) @ wall.along
        hit = ahead & (t > 1.0 + 1e-9) & (along >= -1e-9) & (along <= wall.length_m + 1e-9)
        best = np.minimum(best, np.where(hit, t, np.inf))
    falls = np.isfinite(best) & (best > 1.0) & (best < on_floor)
    t = np.where(falls, best, 1.0)
    return lights_m[:, None, :] + t[..., None] * way, (t - 1.0) * reach, falls


def core_reaches(
    width_m: float, source_m: float, light_to_edge_m: ArrayLike, beyond_m: ArrayLike
) -> BoolArray:
    """(...) whether a full shadow is left so far behind a thing, and near enough to have a hard
    edge: under 1.5 m (common practice).
    """
    a, b = np.asarray(light_to_edge_m, dtype=np.float64), np.asarray(beyond_m, dtype=np.float64)
    left = (
        np.ones(np.broadcast(a, b).shape, dtype=np.bool_)
        if source_m <= width_m
        else b < width_m * a / (source_m - width_m)
    )
    return np.asarray(left & (b < SHADOW_FREE_M))


def share_of_lenses(
    space: Space, views: tuple[View, ...], places_m: FloatArray, counted: BoolArray
) -> FloatArray:
    """(l,) the share of one camera's lenses in whose frame any counted place (l, p) of (l, p, 3)
    lies; 0 when no lens is known.
    """
    if not views:
        return np.zeros(len(places_m))
    # One camera on one axis: the places are turned into its picture once, and each lens cuts
    # another piece out of it.
    offset = (places_m - np.asarray(views[0].at_m)) @ views[0].axes.T
    ahead = counted & (offset[..., 2] > 1e-9)
    depth = np.where(ahead, offset[..., 2], 1.0)
    across, up = np.abs(offset[..., 0]) / depth, np.abs(offset[..., 1]) / depth
    if views[0].doorway is not None:
        ahead[ahead] = view_sees(views[0], space.plan_m, places_m[ahead])
    seen = [
        np.any(ahead & (across < view.tangents[0]) & (up < view.tangents[1]), axis=-1)
        for view in views
    ]
    return np.asarray(np.mean(np.stack(seen), axis=0))


def clipped(polygon: FloatArray, normal: FloatArray, least: float) -> FloatArray:
    """A polygon (n, d) cut to where p @ normal is `least` or more."""
    if not len(polygon):
        return polygon
    inwards = polygon @ normal - least
    after, after_in = onward(polygon), onward(inwards)
    out: list[FloatArray] = []
    for p, q, at_p, at_q in zip(polygon, after, inwards, after_in, strict=True):
        if at_p >= 0:
            out.append(p)
        if (at_p >= 0) != (at_q >= 0):
            out.append(p + (q - p) * (at_p / (at_p - at_q)))
    return np.array(out).reshape(-1, polygon.shape[1])


def _on_floor(plan_m: FloatArray, shape: FloatArray) -> FloatArray:
    """A level shape cut to the plan: exactly where the plan is convex, else the plan cut to the
    shape's hull.
    """
    plan, height = np.asarray(plan_m, dtype=np.float64), float(shape[0, 2])
    run = onward(plan) - plan
    after = onward(run)
    convex = bool(np.all(run[:, 0] * after[:, 1] - run[:, 1] * after[:, 0] <= 1e-9))
    part, ring = (shape[:, :2], plan) if convex else (plan, _hull(shape[:, :2])[::-1])
    for a, b in zip(
        ring, onward(ring), strict=True
    ):  # both rings run clockwise: inside is right of each edge
        normal = np.array([b[1] - a[1], a[0] - b[0]])
        part = clipped(part, normal, float(a @ normal))
    return np.concatenate([part, np.full((len(part), 1), height)], axis=1)


def _hull(points: FloatArray) -> FloatArray:
    """The convex hull, anticlockwise (monotone chain)."""
    ordered = sorted({(float(x), float(y)) for x, y in points})
    if len(ordered) < 3:
        return np.array(ordered).reshape(-1, 2)

    def half(row: list[tuple[float, float]]) -> list[tuple[float, float]]:
        chain: list[tuple[float, float]] = []
        for p in row:
            while len(chain) > 1 and (chain[-1][0] - chain[-2][0]) * (p[1] - chain[-2][1]) <= (
                chain[-1][1] - chain[-2][1]
            ) * (p[0] - chain[-2][0]):
                chain.pop()
            chain.append(p)
        return chain[:-1]

    return np.array([*half(ordered), *half(ordered[::-1])])


def _area_m2(polygon: FloatArray) -> float:
    edges = polygon[1:] - polygon[0]
    return float(np.linalg.norm(np.sum(np.cross(edges[:-1], edges[1:]), axis=0)) / 2.0)


def _holds(polygon: FloatArray, point: FloatArray, normal: FloatArray) -> bool:
    """Whether a point of the same plane lies in the polygon (even-odd rule along the two axes that
    the plane spans most).
    """
    keep = [axis for axis in range(3) if axis != int(np.argmax(np.abs(normal)))]
    (x, y), ring, odd = point[keep], polygon[:, keep], False
    for (x1, y1), (x2, y2) in zip(ring, onward(ring), strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            odd = not odd
    return odd
