"""Whether a clear rectangle of floor fits into a room's plan, whichever way round it lies along a
wall.
"""

from __future__ import annotations

from math import hypot

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, inside, require, walls

EDGE_M = 1e-6


def rectangle_fits(plan_m: ArrayLike, width_m: float, length_m: float) -> bool:
    """Whether a width_m by length_m rectangle fits into the plan with one side along some wall's
    direction.

    plan_m: (n, 2) corners clockwise [m]
    Raises: OutOfRange for a side not above 0
    Source: own construction. In a plan whose walls meet at right angles a rectangle that fits
        can be slid until two of its
            sides lie on wall lines, so trying every pair of corner coordinates finds it; in other
            plans a grid of places is
            tried beside, so that a fit by a hair's breadth may be missed, never invented.
    """
    require("width_m", width_m, above=0)
    require("length_m", length_m, above=0)
    plan = np.asarray(plan_m, dtype=np.float64)
    if len(plan) == 4:
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = plan.tolist()
        one, two = (bx - ax, by - ay), (cx - bx, cy - by)
        closes = max(abs(ax - bx + cx - dx), abs(ay - by + cy - dy)) < EDGE_M
        if closes and abs(one[0] * two[0] + one[1] * two[1]) < EDGE_M:
            # a rectangle takes what is no longer than its longer and no wider than its shorter side
            shorter, longer = sorted((hypot(*one) + EDGE_M, hypot(*two) + EDGE_M))
            return min(width_m, length_m) <= shorter and max(width_m, length_m) <= longer
    for wall in walls(plan):
        turn = np.array(
            [wall.along, wall.outward]
        ).T  # plan coordinates to (along, outward) of this wall
        turned = plan @ turn
        for w, d in {(width_m, length_m), (length_m, width_m)}:
            if _fits_upright(turned, w, d):
                return True
    return False


def _fits_upright(plan: FloatArray, w: float, d: float) -> bool:
    low, high = plan.min(axis=0), plan.max(axis=0)
    if w > high[0] - low[0] + EDGE_M or d > high[1] - low[1] + EDGE_M:
        return False
    xs = np.unique(
        np.concatenate([plan[:, 0], plan[:, 0] - w, np.linspace(low[0], high[0] - w, 24)])
    )
    ys = np.unique(
        np.concatenate([plan[:, 1], plan[:, 1] - d, np.linspace(low[1], high[1] - d, 24)])
    )
    x, y = (axis.ravel() for axis in np.meshgrid(xs, ys))
    return bool(np.any(_clear(plan, x, y, x + w, y + d)))


def _clear(
    plan: FloatArray, x0: FloatArray, y0: FloatArray, x1: FloatArray, y1: FloatArray
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """(k,) whether each upright box lies in the plan: its middle is inside and no wall passes
    through its open interior.
    """
    middle_in = inside(plan, np.column_stack([(x0 + x1) / 2, (y0 + y1) / 2]))
    a, b = plan, np.roll(plan, -1, axis=0)
    delta = b - a
    enter, leave = np.zeros((len(x0), len(plan))), np.ones((len(x0), len(plan)))
    passes = np.ones((len(x0), len(plan)), dtype=np.bool_)
    for axis, (low, high) in enumerate(((x0 + EDGE_M, x1 - EDGE_M), (y0 + EDGE_M, y1 - EDGE_M))):
        run = delta[:, axis]
        still = np.abs(run) < 1e-12
        between = (a[None, :, axis] > low[:, None]) & (a[None, :, axis] < high[:, None])
        passes &= np.where(still[None, :], between, True)
        safe = np.where(still, 1.0, run)
        t0, t1 = (low[:, None] - a[None, :, axis]) / safe, (high[:, None] - a[None, :, axis]) / safe
        enter = np.where(still[None, :], enter, np.maximum(enter, np.minimum(t0, t1)))
        leave = np.where(still[None, :], leave, np.minimum(leave, np.maximum(t0, t1)))
    passes &= leave - enter > 1e-9
    return np.asarray(middle_in & ~passes.any(axis=1))
