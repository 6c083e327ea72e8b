"""Whether two points of a room see each other: in a prism only its walls can hide, so the plan
decides.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scout.calc.geometry import FloatArray

# points on a wall are drawn this far into the room, so that their own wall does not hide them
INWARD_M = 1e-5
# what touches a wall is not behind it: far above the rounding of coordinates of 50 m (7e-15), far
# under INWARD_M
TOUCH_M = 1e-9


def is_convex(plan_m: FloatArray) -> bool:
    """Whether a plan, clockwise, has no corner that turns back: then every point sees every other."""
    side = np.concatenate([plan_m[1:], plan_m[:1]]) - plan_m
    after = np.concatenate([side[1:], side[:1]])
    turn = side[:, 0] * after[:, 1] - side[:, 1] * after[:, 0]
    return bool(np.all(turn <= 1e-9 * np.hypot(*side.T) * np.hypot(*after.T)))


def sees(plan_m: FloatArray, from_m: FloatArray, to_m: FloatArray) -> NDArray[np.bool_]:
    """(...) whether the straight line between two points crosses no wall. Points (..., 2 or 3)
    broadcast; inside the room.

    Touching a corner, or running along a wall, counts as seen.
    """
    return uncut(_walls(plan_m), np.asarray(from_m), np.asarray(to_m))


def uncut(walls_m: FloatArray, from_m: FloatArray, to_m: FloatArray) -> NDArray[np.bool_]:
    """As `sees`, of listed walls, (w, 2, 2).

    A wall hides only what lies on either side of it by more than TOUCH_M, so that a point on a wall
    is not hidden by that wall through the rounding of its coordinates. One end at least lies
    INWARD_M or more in the room: what leaves through the wall that the other lies on must come back
    through another, which is met.
    """
    p, q = from_m[..., :2], to_m[..., :2]
    seen = np.ones(np.broadcast_shapes(p.shape[:-1], q.shape[:-1]), dtype=bool)
    way = q - p
    apart = np.hypot(way[..., 0], way[..., 1]) * TOUCH_M
    for start, end in walls_m:
        wall = end - start
        side_p = wall[0] * (p[..., 1] - start[1]) - wall[1] * (p[..., 0] - start[0])
        side_q = wall[0] * (q[..., 1] - start[1]) - wall[1] * (q[..., 0] - start[0])
        across = _opposite(side_p, side_q, float(np.hypot(*wall)) * TOUCH_M)
        if not np.any(across):
            continue
        side_a = way[..., 0] * (start[1] - p[..., 1]) - way[..., 1] * (start[0] - p[..., 0])
        side_b = way[..., 0] * (end[1] - p[..., 1]) - way[..., 1] * (end[0] - p[..., 0])
        seen &= ~(across & _opposite(side_a, side_b, apart))
    return seen


def _opposite(one: FloatArray, other: FloatArray, touch: FloatArray | float) -> NDArray[np.bool_]:
    """Whether two lie on opposite sides of a line, each by more than `touch`."""
    return ((one > touch) & (other < -touch)) | ((one < -touch) & (other > touch))


def inner_walls(plan_m: FloatArray) -> FloatArray:
    """(w, 2, 2) the walls that can stand between two points of the room: not those with all of the
    room on one side of their line.
    """
    pairs = _walls(plan_m)
    way = pairs[:, 1] - pairs[:, 0]
    off = plan_m[None] - pairs[:, :1]
    beyond = (
        way[:, :1] * off[..., 1] - way[:, 1:] * off[..., 0]
    )  # (w, n), 0 or less on the room's own side
    return np.asarray(pairs[np.any(beyond > 1e-9, axis=1)])


def _walls(plan_m: FloatArray) -> FloatArray:
    return np.stack([plan_m, np.roll(plan_m, -1, axis=0)], axis=1)
