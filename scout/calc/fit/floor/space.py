"""The floor a shoot may use: what a stand needs, what must stay free, and what a wall hides.

Sizes are common practice: a light stand or a tripod takes a circle of 1.0 m, an operator 1.0 x
    1.0 m behind the camera,
a person on a mark 1.0 m, and a way out stays clear for at least 0.9 m in front of its door.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.fit.floor.blocks import Block
from scout.calc.geometry import (
    SMALL_M,
    FloatArray,
    beside,
    cut_by,
    distance_to_walls_m,
    in_plan_m,
    inside,
    is_convex,
    onward,
    require,
)
from scout.errors import OutOfRange
from scout.values import said

if TYPE_CHECKING:
    from scout.calc.fit.floor.doorway import Doorway

BoolArray = NDArray[np.bool_]
STAND_RADIUS_M = 0.5
TRIPOD_RADIUS_M = 0.5
OPERATOR_DEPTH_M = 1.0
OPERATOR_WIDTH_M = 1.0
SUBJECT_RADIUS_M = 0.5
PATH_HALF_WIDTH_M = 0.45
EXIT_DEPTH_M = 0.9
CEILING_CLEARANCE_M = 0.10


@dataclass(frozen=True)
class Space:
    """A room or a piece of ground. `ceiling_m` None: open sky. `exits_m`: polygons (k, 2) that stay
    free. `blocks`: furniture. `doorways`: measured doors, which a camera may look through.
    """

    plan_m: FloatArray
    ceiling_m: float | None
    exits_m: tuple[FloatArray, ...] = ()
    blocks: tuple[Block, ...] = ()
    doorways: tuple[Doorway, ...] = ()

    def __post_init__(self) -> None:
        plan = require("plan_m", self.plan_m)
        if plan.ndim != 2 or plan.shape[0] < 3 or plan.shape[1] != 2:
            raise OutOfRange("plan_m", plan.shape, said("refusal.space.corners"))
        if self.ceiling_m is not None:
            require("ceiling_m", self.ceiling_m, above=0)


def exit_zone_m(
    start_m: ArrayLike, along: ArrayLike, outward: ArrayLike, offset_m: float, width_m: float
) -> FloatArray:
    """(4, 2) the floor to keep free before a door: as wide as the door (0.9 m at least) and as deep
    as its leaf (0.9 m at least).

    start_m, along, outward: (2,) of the wall; offset_m, width_m: of the door along it [m]
    Raises: OutOfRange
    """
    start, run, out = (
        require("start_m", start_m),
        require("along", along),
        require("outward", outward),
    )
    require("width_m", width_m, above=0)
    middle = start + run * (float(require("offset_m", offset_m, least=0)) + width_m / 2.0)
    half, depth = max(width_m, EXIT_DEPTH_M) / 2.0, max(width_m, EXIT_DEPTH_M)
    return np.stack(
        [
            middle - run * half,
            middle + run * half,
            middle + run * half - out * depth,
            middle - run * half - out * depth,
        ]
    )


def ahead_zone_m(
    at_m: ArrayLike, direction: ArrayLike, from_m: float, to_m: float, half_width_m: float
) -> FloatArray:
    """(..., 4, 2) rectangles on a line: between two distances from points (..., 2) in a direction
    (unit, 2,), so wide on either side.
    """
    at, way = require("at_m", at_m), require("direction", direction)
    side = np.array([way[1], -way[0]])
    return np.stack(
        [
            at + way * from_m - side * half_width_m,
            at + way * to_m - side * half_width_m,
            at + way * to_m + side * half_width_m,
            at + way * from_m + side * half_width_m,
        ],
        axis=-2,
    )


def distance_to_zone_m(zone_m: ArrayLike, points_m: ArrayLike) -> FloatArray:
    """(...) distance in plan from points (..., 2) to a polygon; 0 inside it."""
    return np.where(inside(zone_m, points_m), 0.0, distance_to_walls_m(zone_m, points_m))


def within_m(zone_m: ArrayLike, points_m: ArrayLike, radius_m: float) -> BoolArray:
    """(...) whether points (..., 2) are nearer to a polygon than a radius, or in it."""
    points = np.asarray(points_m, dtype=np.float64)[..., :2]
    near = beside(zone_m, points, radius_m)
    near[near] = distance_to_zone_m(zone_m, points[near]) < radius_m
    return near


def distance_to_line_m(corners_m: ArrayLike, points_m: ArrayLike) -> FloatArray:
    """(...) distance in plan from points (..., 2) to an open line through corners (n, 2), n at
    least 2.
    """
    corners = np.asarray(corners_m, dtype=np.float64)[:, :2]
    points = np.asarray(points_m, dtype=np.float64)[..., :2]
    run = corners[1:] - corners[:-1]
    nearest = np.full(points.shape[:-1], np.inf)
    for start, way, square in zip(corners, run, np.sum(run * run, axis=-1), strict=False):
        off = points - start
        share = np.clip((off @ way) / (square if square > 0 else 1.0), 0.0, 1.0)
        nearest = np.minimum(nearest, in_plan_m(off - share[..., None] * way))
    return nearest


def stands_inside(plan_m: ArrayLike, points_m: ArrayLike, radius_m: float) -> BoolArray:
    """(...) whether a circle of that radius at each point (..., 2) lies wholly in the plan."""
    if radius_m <= SMALL_M:
        return inside(plan_m, points_m)
    # So far off every wall no point can owe being inside to the width of a wall's line.
    return np.asarray(
        (distance_to_walls_m(plan_m, points_m) >= radius_m - SMALL_M)
        & inside(plan_m, points_m, edge_m=-1.0)
    )


def sees(plan_m: ArrayLike, points_m: ArrayLike, target_m: ArrayLike) -> BoolArray:
    """(...) whether no wall crosses the straight line in plan from each point (..., 2) inside the
    room to a target (2,) inside it.

    A line that only touches a corner is not blocked; a point outside is not seen.
    """
    plan = np.asarray(plan_m, dtype=np.float64)
    points = np.asarray(points_m, dtype=np.float64)[..., None, :2]
    target = np.asarray(target_m, dtype=np.float64)[:2]
    if is_convex(plan):
        return np.asarray(inside(plan, points[..., 0, :], edge_m=1e-6))  # nothing can stand between
    seen = np.asarray(~cut_by(plan, points[..., 0, :], target))
    # Two corners touched in turn hide a line that crosses no wall properly: its middle is then
    # outside.
    start = points[..., 0, :][seen]
    shares = np.linspace(0.1, 0.9, 9)
    between = start[:, None, :] + shares[:, None] * (target - start)[:, None, :]
    seen[seen] = np.all(inside(plan, between, edge_m=1e-6), axis=-1) & inside(
        plan, start, edge_m=1e-6
    )
    return seen


def zone_inside(plan_m: ArrayLike, zones_m: ArrayLike) -> BoolArray:
    """(...) whether convex zones (..., k, 2) lie wholly in the plan (touching a wall is allowed)."""
    plan, zones = np.asarray(plan_m, dtype=np.float64), np.asarray(zones_m, dtype=np.float64)
    within = np.asarray(np.all(inside(plan, zones, edge_m=1e-6), axis=-1))
    centre = zones.mean(axis=-2, keepdims=True)
    shrunk = centre + (zones - centre) * (1.0 - 1e-6)
    within[within] = ~np.any(_through(shrunk[within], plan, onward(plan)), axis=-1)
    return within


def _through(zones: FloatArray, a: FloatArray, b: FloatArray) -> BoolArray:
    """(n, w) whether the lines from a (w, 2) to b (w, 2) have a part inside convex zones (n, k, 2),
    whichever way their corners go round.
    """
    edges = np.roll(zones, -1, axis=1) - zones
    turned = zones[:, :, 0] * edges[:, :, 1] - zones[:, :, 1] * edges[:, :, 0]
    turn = np.where(np.sum(turned, axis=1) > 0, 1.0, -1.0)[:, None]
    low, high = np.zeros((len(zones), len(a))), np.ones((len(zones), len(a)))
    off = np.zeros(low.shape, dtype=np.bool_)
    for k in range(zones.shape[1]):
        corner, edge = zones[:, k, None, :], edges[:, k, None, :]

        def inwards(
            ends: FloatArray, corner: FloatArray = corner, edge: FloatArray = edge
        ) -> FloatArray:
            way = ends - corner
            return np.asarray(turn * (edge[..., 0] * way[..., 1] - edge[..., 1] * way[..., 0]))

        at_a, at_b = inwards(a), inwards(b)
        off |= (at_a <= 0) & (at_b <= 0)
        with np.errstate(divide="ignore", invalid="ignore"):
            share = at_a / (at_a - at_b)
        low = np.where(at_a < 0, np.maximum(low, share), low)
        high = np.where((at_a >= 0) & (at_b < 0), np.minimum(high, share), high)
    return np.asarray(~off & (high - low > 1e-12))


def clear_depth_m(
    plan_m: ArrayLike, at_m: ArrayLike, direction: ArrayLike, half_width_m: float = 0.0
) -> float:
    """How far one can go from a point inside the room in a direction before a wall enters a strip
    so wide on either side.

    at_m, direction: (2,), direction a unit vector; half_width_m: 0 for a bare line
    Returns: [m], 0 when a wall already runs beside the point within the strip
    Raises:  OutOfRange; also when the point is outside the plan
    """
    plan = np.asarray(plan_m, dtype=np.float64)
    at, way = require("at_m", at_m)[:2], require("direction", direction)[:2]
    if not bool(inside(plan, at, edge_m=1e-3)):
        raise OutOfRange("at_m", tuple(float(v) for v in at), said("refusal.space.outside_plan"))
    side = np.array([way[1], -way[0]])
    ahead, across = (plan - at) @ way, (plan - at) @ side
    nearest = np.inf
    half = max(half_width_m - 1e-9, 1e-9)
    for i in range(len(plan)):
        j = (i + 1) % len(plan)
        x0, x1, t0, t1 = across[i], across[j], ahead[i], ahead[j]
        if max(x0, x1) <= -half or min(x0, x1) >= half:
            continue
        if abs(x1 - x0) > 1e-12:
            shares = np.clip(
                np.array([(-half - x0) / (x1 - x0), (half - x0) / (x1 - x0)]), 0.0, 1.0
            )
            t0, t1 = t0 + shares * (t1 - t0)
        if max(t0, t1) > 1e-6:
            nearest = min(nearest, max(min(t0, t1), 0.0))
    return float(nearest) if np.isfinite(nearest) else 0.0
