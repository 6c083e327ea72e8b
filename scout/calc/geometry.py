"""The plan of a room as a polygon: its walls, what lies inside it, and where a thing on a wall
stands.

Seen from above, x to the right and y up the page, walls go round clockwise, so that each runs from
left to right for a
person inside who faces it. In a rectangle wall A is the far one:

        A ->
    (0,L)----(W,L)
      |        |
    D |        | B       outward normal of a wall = its direction turned left (anticlockwise) by 90
    degrees
      |        |
    (0,0)----(W,0)
        <- C
"""

from __future__ import annotations

import math
import string
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.errors import OutOfRange
from scout.values import Figure, said

FloatArray = NDArray[np.float64]
SMALL_M = 1e-9
WALLS_MOST = 100  # a nave with its chapels; what has more is several rooms
_A_TO_Z = string.ascii_uppercase
WALL_LETTERS = (*_A_TO_Z, *(one + other for one in _A_TO_Z for other in _A_TO_Z))[:WALLS_MOST]


@dataclass(frozen=True)
class Wall:
    """One wall of a plan. `along` runs left to right as seen from inside; `outward` points out of
    the room.
    """

    letter: str
    start_m: FloatArray  # (2,)
    end_m: FloatArray  # (2,)
    length_m: float
    along: FloatArray  # (2,) unit
    outward: FloatArray  # (2,) unit

    def point(self, offset_m: float, height_m: float = 0.0) -> FloatArray:
        """(3,) the point on the wall, offset_m from its left end, height_m above the floor."""
        x, y = self.start_m + self.along * offset_m
        return np.array([x, y, height_m])


def require(
    name: str,
    value: ArrayLike,
    *,
    above: float | None = None,
    least: float | None = None,
    below: float | None = None,
    most: float | None = None,
) -> FloatArray:
    """The value as a float array, or OutOfRange naming the argument and what it must be. NaN and
    infinity are refused.
    """
    if isinstance(value, (int, float)) and _fits(float(value), above, least, below, most):
        return np.asarray(
            value, dtype=np.float64
        )  # single numbers are asked about by the ten thousand
    array = np.asarray(value, dtype=np.float64)
    if not np.isfinite(array).all():  # asked ten thousand times a room: methods, not functions
        raise OutOfRange(name, value, said("refusal.number.finite"))
    if above is not None and (array <= above).any():
        raise OutOfRange(name, value, said("refusal.number.above", limit=_limit(name, above)))
    if least is not None and (array < least).any():
        raise OutOfRange(name, value, said("refusal.number.least", limit=_limit(name, least)))
    if below is not None and (array >= below).any():
        raise OutOfRange(name, value, said("refusal.number.below", limit=_limit(name, below)))
    if most is not None and (array > most).any():
        raise OutOfRange(name, value, said("refusal.number.most", limit=_limit(name, most)))
    return array


def _limit(name: str, limit: float) -> Figure:
    """A limit as it is said: a length in the reader's units, everything else as a number."""
    return Figure(float(limit), "m" if limit and name.endswith("_m") else "")


def _fits(
    number: float, above: float | None, least: float | None, below: float | None, most: float | None
) -> bool:
    return (
        math.isfinite(number)
        and (above is None or number > above)
        and (least is None or number >= least)
        and (below is None or number < below)
        and (most is None or number <= most)
    )


def rectangle_m(width_m: float, length_m: float) -> FloatArray:
    """(4, 2) corners of a rectangle in wall order: A (far), B, C, D."""
    require("width_m", width_m, above=0)
    require("length_m", length_m, above=0)
    return np.array([(0.0, length_m), (width_m, length_m), (width_m, 0.0), (0.0, 0.0)])


def signed_area_m2(plan_m: ArrayLike) -> float:
    """Area of a polygon, positive when its corners go round anticlockwise (shoelace formula)."""
    x, y = np.asarray(plan_m, dtype=np.float64).T
    inner = float(np.dot(x[:-1], y[1:]) - np.dot(x[1:], y[:-1]))
    return 0.5 * (inner + float(x[-1] * y[0] - x[0] * y[-1]))


def plan_area_m2(plan_m: ArrayLike) -> float:
    """Area of a polygon, whichever way its corners go round."""
    return abs(signed_area_m2(plan_m))


def crossing_walls(plan_m: ArrayLike) -> tuple[int, int] | None:
    """The first two walls (by number) that touch or cross though they are not neighbours, or None
    for a simple polygon.
    """
    p = np.asarray(plan_m, dtype=np.float64)
    n = len(p)
    for i in range(n):
        a, b = p[i], p[(i + 1) % n]
        for j in range(i + 1, n):
            c, d = p[j], p[(j + 1) % n]
            neighbours = j == i + 1 or (i == 0 and j == n - 1)
            if neighbours:
                shared, far_i, far_j = (b, a, d) if j == i + 1 else (a, b, c)
                u, v = far_i - shared, far_j - shared
                if (
                    abs(_cross(u, v))
                    <= SMALL_M * max(1.0, float(np.hypot(*u)) * float(np.hypot(*v)))
                    and float(u @ v) > 0
                ):
                    return i, j  # folded back on itself
            elif _segments_touch(a, b, c, d):
                return i, j
    return None


def _cross(u: FloatArray, v: FloatArray) -> float:
    return float(u[0] * v[1] - u[1] * v[0])


def _segments_touch(a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray) -> bool:
    def side(p: FloatArray, q: FloatArray, r: FloatArray) -> float:
        s = _cross(q - p, r - p)
        return 0.0 if abs(s) <= SMALL_M else s

    def within(p: FloatArray, q: FloatArray, r: FloatArray) -> bool:
        return bool(
            np.all(r >= np.minimum(p, q) - SMALL_M) and np.all(r <= np.maximum(p, q) + SMALL_M)
        )

    s1, s2, s3, s4 = side(c, d, a), side(c, d, b), side(a, b, c), side(a, b, d)
    if ((s1 > 0) != (s2 > 0) and s1 and s2) and ((s3 > 0) != (s4 > 0) and s3 and s4):
        return True
    return (
        (s1 == 0 and within(c, d, a))
        or (s2 == 0 and within(c, d, b))
        or (s3 == 0 and within(a, b, c))
        or (s4 == 0 and within(a, b, d))
    )


def wall_letters(count: int) -> tuple[str, ...]:
    """A, B, C ... Z, AA, AB ... for so many walls; a plan has at most WALLS_MOST."""
    if not 3 <= count <= WALLS_MOST:
        raise OutOfRange("plan_m", count, said("refusal.space.corner_count", most=WALLS_MOST))
    return WALL_LETTERS[:count]


def wall_number(letter: str) -> int:
    """How many walls of a plan come before the one so lettered; WALLS_MOST for what letters none."""
    return WALL_LETTERS.index(letter) if letter in WALL_LETTERS else WALLS_MOST


def walls(plan_m: ArrayLike) -> tuple[Wall, ...]:
    """The walls of a plan given clockwise. Raises OutOfRange for fewer than 3 corners, more than
    WALLS_MOST, NaN, or a wall of no length.
    """
    p = require("plan_m", plan_m)
    return _walls(p.shape, p.tobytes())


@lru_cache(maxsize=128)
def _walls(shape: tuple[int, ...], corners: bytes) -> tuple[Wall, ...]:
    """The walls of one plan, asked for many times in one figure."""
    p = np.frombuffer(corners).reshape(shape)
    found = []
    for i, letter in enumerate(wall_letters(len(p))):
        start, end = p[i], p[(i + 1) % len(p)]
        length = float(np.hypot(*(end - start)))
        if length <= SMALL_M:
            raise OutOfRange(f"plan_m[{i}]", tuple(start), said("refusal.space.corner_twice"))
        along = (end - start) / length
        found.append(Wall(letter, start, end, length, along, np.array([-along[1], along[0]])))
    return tuple(found)


def inside(plan_m: ArrayLike, points_m: ArrayLike, *, edge_m: float = SMALL_M) -> NDArray[np.bool_]:
    """(...,) whether each plan point (..., 2) lies in the polygon; points within edge_m of a wall
    count as inside.
    """
    p = np.asarray(plan_m, dtype=np.float64)
    q = np.asarray(points_m, dtype=np.float64)[..., :2]
    x, y = q[..., 0], q[..., 1]
    (x1, y1), (x2, y2) = _columns(p, q.ndim)
    straddles = (y1 > y) != (y2 > y)
    # Left of the wall where it crosses the point's height: asked without dividing, since a wall may
    # be as good as level.
    left = ((x - x1) * (y2 - y1) < (y - y1) * (x2 - x1)) ^ (y2 < y1)
    found = np.asarray(np.count_nonzero(straddles & left, axis=0) % 2 == 1)
    outside = ~found
    if edge_m >= 0 and np.any(
        outside
    ):  # the distance matters only to those that are not inside already
        found[outside] = distance_to_walls_m(p, q[outside]) <= edge_m
    return found


def distance_to_walls_m(plan_m: ArrayLike, points_m: ArrayLike) -> FloatArray:
    """(...,) distance in plan from each point (..., 2) to the nearest wall line."""
    p = np.asarray(plan_m, dtype=np.float64)
    q = np.asarray(points_m, dtype=np.float64)[..., :2]
    x, y = q[..., 0], q[..., 1]
    (ax, ay), (bx, by) = _columns(p, q.ndim)
    run_x, run_y = bx - ax, by - ay
    from_x, from_y = x - ax, y - ay
    t = np.clip((from_x * run_x + from_y * run_y) / (run_x * run_x + run_y * run_y), 0.0, 1.0)
    from_x -= t * run_x
    from_y -= t * run_y
    return np.asarray(np.sqrt(np.min(from_x * from_x + from_y * from_y, axis=0)))


def cut_by(ring_m: ArrayLike, from_m: ArrayLike, to_m: ArrayLike) -> NDArray[np.bool_]:
    """(...,) whether straight lines in plan, from and to points (..., 2), cross the edges of a polygon
    (k, 2): by the sides of each line on which an edge's ends lie, and the other way round. Lines that
    only touch an edge do not cross it.
    """
    ring = np.asarray(ring_m, dtype=np.float64)
    return cuts(ring, np.roll(ring, -1, axis=0), from_m, to_m)


def cuts(a: FloatArray, b: FloatArray, from_m: ArrayLike, to_m: ArrayLike) -> NDArray[np.bool_]:
    """(...,) as cut_by, of edges from a (k, 2) to b (k, 2)."""
    start, end = (np.asarray(each, dtype=np.float64)[..., None, :2] for each in (from_m, to_m))

    def turn(u: FloatArray, v: FloatArray) -> FloatArray:
        return np.asarray(u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0])

    of_a, of_b = turn(end - start, a - start), turn(end - start, b - start)
    of_start, of_end = turn(b - a, start - a), turn(b - a, end - a)
    apart = (np.minimum(of_a, of_b) < -SMALL_M) & (np.maximum(of_a, of_b) > SMALL_M)
    apart &= (np.minimum(of_start, of_end) < -SMALL_M) & (np.maximum(of_start, of_end) > SMALL_M)
    return np.asarray(np.any(apart, axis=-1))


def is_convex(plan: FloatArray) -> bool:
    """Whether a simple plan turns one way only."""
    run = onward(plan) - plan
    after = onward(run)
    turns = run[:, 0] * after[:, 1] - run[:, 1] * after[:, 0]
    return bool(np.all(turns <= 1e-9) or np.all(turns >= -1e-9))


def beside(plan_m: ArrayLike, points_m: ArrayLike, within_m: float) -> NDArray[np.bool_]:
    """(...,) whether points (..., 2) are so near the box round a polygon that a part of it may be as
    near: cheap, before the distance itself is asked.
    """
    p = np.asarray(plan_m, dtype=np.float64)
    q = np.asarray(points_m, dtype=np.float64)
    far = within_m + SMALL_M
    (left, low), (right, high) = p.min(axis=0) - far, p.max(axis=0) + far
    x, y = q[..., 0], q[..., 1]
    return np.asarray((x >= left) & (x <= right) & (y >= low) & (y <= high))


def _columns(corners_m: FloatArray, dimensions: int) -> tuple[FloatArray, FloatArray]:
    """Start and end (2, walls, 1 ...) of every wall, shaped so that the walls come first and points
    (..., 2) of that many
    dimensions spread behind them: sums along a long last axis are what numpy does fast.
    """
    shape = (2, len(corners_m), *(1,) * (dimensions - 1))
    return corners_m.T.reshape(shape), onward(corners_m).T.reshape(shape)


def in_plan_m(ways: FloatArray) -> FloatArray:
    """(...) how long ways (..., 2 or more) are in plan: as np.linalg.norm of the first two, which takes
    several times as long, since it sums along a last axis of two.
    """
    x, y = ways[..., 0], ways[..., 1]
    return np.asarray(np.sqrt(x * x + y * y))


def onward(ring: FloatArray) -> FloatArray:
    """Of every corner (or edge, or number) of a ring the one after it: as np.roll by -1, which
    takes ten times as long for a few corners.
    """
    return np.concatenate([ring[1:], ring[:1]])


def facing_deg(plan_m: ArrayLike, known_wall: int, known_bearing_deg: float) -> FloatArray:
    """(walls,) the bearing seen looking out squarely through each wall, clockwise from north, from
    0 up to but not 360.

    Follows from one wall's bearing: plan angles run anticlockwise and bearings clockwise, so a wall
    whose outward normal
    is turned by +t in the plan is turned by -t on the compass.
    """
    outward = np.array([wall.outward for wall in walls(plan_m)])
    angle_deg = np.degrees(np.arctan2(outward[:, 1], outward[:, 0]))
    bearing_deg = (
        float(require("known_bearing_deg", known_bearing_deg)) - (angle_deg - angle_deg[known_wall])
    ) % 360.0
    return np.where(
        bearing_deg >= 360.0, 0.0, bearing_deg
    )  # the remainder of a hair under nothing rounds up to 360


def north_in_plan(plan_m: ArrayLike, known_wall: int, known_bearing_deg: float) -> FloatArray:
    """(2,) the unit vector in the plan that points to the north from which the bearing was taken."""
    outward = walls(plan_m)[known_wall].outward
    turn = np.radians(known_bearing_deg)  # the outward normal lies known_bearing clockwise of north
    c, s = np.cos(turn), np.sin(turn)
    return np.array([c * outward[0] - s * outward[1], s * outward[0] + c * outward[1]])
